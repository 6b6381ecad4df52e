// read_once [--counter-alone] CLIP: reads one clip and says nothing. For measuring the cost of the
// whole pass as that of a process: nothing is loaded that reading does not need.
// --counter-alone leaves out the search for standing water.
#include <string_view>

#include "sondeline/footage.hpp"

int main(int count, char** words) {
    if (count < 2) return 1;
    sondeline::ReadOptions options;
    options.water = std::string_view(words[1]) != "--counter-alone";
    if (!options.water && count < 3) return 1;
    return sondeline::read_clip(words[options.water ? 1 : 2], options).samples.empty() ? 2 : 0;
}
