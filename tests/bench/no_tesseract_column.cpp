#include "bench/tesseract_column.hpp"

namespace sondeline::bench {

void add(PeerColumn&, const PeerColumn&) {}

const char* peer_words() {
    return "Tesseract: left out, because its headers were not there when this was built "
           "(.ci/install bench, then configure and build again).";
}

std::optional<PeerColumn> read_by_tesseract(const std::filesystem::path&, const Track&,
                                            const std::vector<ShownAt>&, int, double) {
    return std::nullopt;
}

}  // namespace sondeline::bench
