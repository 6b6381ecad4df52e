// make_footage SCENARIO.json CLIP: renders an invented clip and writes its truth beside it.

#include <exception>
#include <iostream>

#include "support/footage.hpp"

int main(int count, char** words) {
    if (count != 3) {
        std::cerr << "usage: make_footage SCENARIO.json CLIP\n";
        return 1;
    }
    try {
        sondeline::support::make_footage(sondeline::support::load_scenario(words[1]), words[2]);
        return 0;
    } catch (const std::exception& error) {
        std::cerr << error.what() << '\n';
        return 3;
    }
}
