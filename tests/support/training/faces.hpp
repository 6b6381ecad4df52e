// The typefaces that the glyph network is trained on, and those kept from it for tests.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace sondeline::support {

struct FaceFile {
    std::string family;          // faces of a family are all trained on, or all held out
    std::filesystem::path file;  // as Debian packages install it
};

// No family is in both lists. Read by nobody else, the held-out list is what "unseen" means in
// every figure about the counter reader.
std::vector<FaceFile> training_faces();
std::vector<FaceFile> held_out_faces();

}  // namespace sondeline::support
