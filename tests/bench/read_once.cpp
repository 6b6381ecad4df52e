// read_once CLIP: reads the counter of one clip and says nothing. For measuring the cost of the
// whole pass as that of a process: nothing is loaded that reading does not need.
#include "sondeline/footage.hpp"

int main(int count, char** words) {
    if (count != 2) return 1;
    return sondeline::read_clip(words[1]).samples.empty() ? 2 : 0;
}
