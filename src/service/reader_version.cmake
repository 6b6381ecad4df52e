# Writes a source that states which reader this is: the digest of every file a reading depends on.
# Called at build time with OUT, and FILES separated by ";".
set(all "")
foreach(file IN LISTS FILES)
    file(SHA256 "${file}" digest)
    get_filename_component(name "${file}" NAME)
    string(APPEND all "${name} ${digest}\n")
endforeach()
string(SHA256 digest "${all}")
string(SUBSTRING "${digest}" 0 16 version)
file(CONFIGURE OUTPUT "${OUT}" CONTENT [[
#include "sondeline/service.hpp"

namespace sondeline {

std::string_view reader_version() {
    return "@version@";
}

}  // namespace sondeline
]] @ONLY)
