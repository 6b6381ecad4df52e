#include "sondeline/pipeline.hpp"

namespace sondeline {

std::string_view program_version() {
    return SONDELINE_VERSION;
}

}  // namespace sondeline
