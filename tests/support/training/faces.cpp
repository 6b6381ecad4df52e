#include "support/training/faces.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace sondeline::support {

namespace {

struct Listed {
    std::string_view family;
    std::string_view file;
};

constexpr Listed trained[] = {
    {"3270", "truetype/3270/3270-Regular.ttf"},
    {"3270", "truetype/3270/3270SemiCondensed-Regular.ttf"},
    {"Agave", "truetype/agave/agave-r-autohinted.ttf"},
    {"Anonymous Pro", "truetype/anonymous-pro/Anonymous Pro.ttf"},
    {"Anonymous Pro", "truetype/anonymous-pro/Anonymous Pro B.ttf"},
    {"B612", "opentype/b612/B612Mono-Regular.otf"},
    {"B612", "opentype/b612/B612Mono-Bold.otf"},
    {"Courier Prime", "opentype/courier-prime/Courier Prime Code.otf"},
    {"Courier Prime", "opentype/courier-prime/Courier Prime Bold.otf"},
    {"DejaVu", "truetype/dejavu/DejaVuSansMono.ttf"},
    {"DejaVu", "truetype/dejavu/DejaVuSansMono-Bold.ttf"},
    {"DejaVu", "truetype/dejavu/DejaVuSans.ttf"},
    {"DejaVu", "truetype/dejavu/DejaVuSansCondensed-Bold.ttf"},
    {"Fantasque", "truetype/fantasque-sans/Normal/TTF/FantasqueSansMono-Regular.ttf"},
    {"Fira Code", "truetype/firacode/FiraCode-Regular.ttf"},
    {"Fira Code", "truetype/firacode/FiraCode-Bold.ttf"},
    {"FreeFont", "truetype/freefont/FreeMonoBold.ttf"},
    {"FreeFont", "truetype/freefont/FreeSans.ttf"},
    {"FreeFont", "truetype/freefont/FreeSerifBold.ttf"},
    {"Hack", "truetype/hack/Hack-Bold.ttf"},
    {"JetBrains Mono", "truetype/jetbrains-mono/JetBrainsMono-Regular.ttf"},
    {"JetBrains Mono", "truetype/jetbrains-mono/JetBrainsMono-ExtraBold.ttf"},
    {"Lato", "truetype/lato/Lato-Regular.ttf"},
    {"Lato", "truetype/lato/Lato-Heavy.ttf"},
    {"Liberation", "truetype/liberation/LiberationMono-Regular.ttf"},
    {"Liberation", "truetype/liberation/LiberationMono-Bold.ttf"},
    {"Liberation", "truetype/liberation/LiberationSans-Regular.ttf"},
    {"Liberation", "truetype/liberation/LiberationSansNarrow-Bold.ttf"},
    {"Monofur", "truetype/monofur/monof55.ttf"},
    {"Monoid", "truetype/monoid/Monoid-Regular.ttf"},
    {"Monoid", "truetype/monoid/Monoisome-Regular.ttf"},
    {"Nanum", "truetype/nanum/NanumGothicCoding.ttf"},
    {"Nanum", "truetype/nanum/NanumSquareRoundB.ttf"},
    {"OCR-B", "opentype/ocr-b/OCRB.otf"},
    {"OCR-B", "opentype/ocr-b/OCRBF.otf"},
    {"Open Sans", "truetype/open-sans/OpenSans-Semibold.ttf"},
    {"Open Sans", "truetype/open-sans/OpenSans-CondBold.ttf"},
    {"Sixtyfour", "truetype/sixtyfour/C-64-Regular.ttf"},
    {"Terminus", "opentype/terminus/terminus-normal.otb"},
    {"Terminus", "opentype/terminus/terminus-bold.otb"},
};

constexpr Listed held_out[] = {
    {"OCR-A", "truetype/ocr-a/OCRA.ttf"},
    {"OCR-A", "truetype/ocr-a/OCRABold.ttf"},
    {"DSEG 7-segment", "truetype/dseg/DSEG7Classic-Regular.ttf"},
    {"DSEG 7-segment", "truetype/dseg/DSEG7Modern-Bold.ttf"},
    {"DotGothic16", "truetype/dotgothic16/DotGothic16-Regular.ttf"},
    {"Glass TTY VT220", "truetype/glasstty/Glass_TTY_VT220.ttf"},
    {"Hermit", "truetype/hermit/Hermit-medium.otf"},
    {"Inconsolata", "truetype/inconsolata/Inconsolata.otf"},
    {"Mononoki", "truetype/mononoki/mononoki-Regular.ttf"},
    {"Mononoki", "truetype/mononoki/mononoki-Bold.ttf"},
    {"Noto Mono", "truetype/noto/NotoMono-Regular.ttf"},
    {"Roboto", "truetype/roboto/unhinted/RobotoTTF/Roboto-Regular.ttf"},
    {"Roboto", "truetype/roboto/unhinted/RobotoTTF/Roboto-Bold.ttf"},
    {"Roboto", "truetype/roboto/unhinted/RobotoCondensed-Bold.ttf"},
};

struct Folder {
    std::string_view family;
    std::string_view folder;
};

constexpr Folder further[] = {
    {"Spleen", "opentype/spleen"},
    {"Proggy", "truetype/proggy"},
    {"Unifont", "opentype/unifont"},
    {"Go", "fonts-go"},
    {"League Mono", "opentype/league-mono"},
    {"Misaki", "truetype/misaki"},
    {"M+", "opentype/mplus"},
    {"Typewriter", "truetype/gnutypewriter"},
    {"osifont", "truetype/osifont"},
    {"Jura", "opentype/jura"},
    {"Roadgeek", "truetype/roadgeek"},
    {"Cantarell", "opentype/cantarell"},
    {"Comfortaa", "truetype/comfortaa"},
    {"Clear Sans", "truetype/clear-sans"},
    {"ParaType", "truetype/paratype"},
    {"Carlito", "truetype/crosextra"},
    {"Quicksand", "truetype/quicksand"},
    {"Play", "truetype/play"},
    {"Dosis", "opentype/dosis"},
    {"Tuffy", "truetype/tuffy"},
    {"National Park", "opentype/national-park"},
    {"Manrope", "truetype/manrope"},
    {"Eurofurence", "truetype/eurofurence"},
    {"VL Gothic", "truetype/vlgothic"},
    {"Tlwg Mono", "truetype/tlwg"},
    {"Creep2", "opentype/creep2"},
    {"Cabin", "opentype/cabin"},
    {"Karla", "truetype/karla"},
};

// Upright faces of usual weight; letters of a hair's breadth are no overlay's.
bool is_wanted(const std::filesystem::path& file) {
    constexpr std::array unwanted{"Italic", "Oblique", "Thin", "ExtraLight", "Outline", "csur"};
    constexpr std::array kinds{".ttf", ".otf", ".otb"};
    const std::string name = file.stem().string();
    return std::ranges::find(kinds, file.extension()) != kinds.end() &&
           std::ranges::none_of(
               unwanted, [&](const char* word) { return name.find(word) != std::string::npos; });
}

std::vector<FaceFile> in_folder(const Folder& folder) {
    const auto path = std::filesystem::path("/usr/share/fonts") / folder.folder;
    std::vector<FaceFile> files;
    std::error_code missing;
    for (const auto& entry : std::filesystem::directory_iterator(path, missing)) {
        if (is_wanted(entry.path())) files.push_back({std::string(folder.family), entry.path()});
    }
    std::ranges::sort(files, {}, &FaceFile::file);
    return files;
}

template <std::size_t count>
std::vector<FaceFile> installed(const Listed (&faces)[count]) {
    std::vector<FaceFile> files;
    for (const Listed& face : faces) {
        files.push_back({std::string(face.family),
                         std::filesystem::path("/usr/share/fonts") / std::string(face.file)});
    }
    return files;
}

}  // namespace

std::vector<FaceFile> training_faces() {
    return installed(trained);
}

std::vector<FaceFile> held_out_faces() {
    return installed(held_out);
}

std::vector<FaceFile> further_training_faces() {
    std::vector<FaceFile> files;
    for (const Folder& folder : further) {
        const std::vector<FaceFile> found = in_folder(folder);
        files.insert(files.end(), found.begin(), found.end());
    }
    return files;
}

std::vector<FaceFile> display_character_sets() {
    return in_folder({"character sets", "pc"});
}

}  // namespace sondeline::support
