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

// What the network is trained on beside these, and no picture of a test or a benchmark is drawn in:
// typefaces of further packages (kind `training`), and character sets of computers' own displays.
// Those that are not installed are left out.
std::vector<FaceFile> further_training_faces();
std::vector<FaceFile> display_character_sets();

}  // namespace sondeline::support
