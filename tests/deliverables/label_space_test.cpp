#include "deliverables/page/label_space.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

TEST(Shortened, KeepsWhatFitsAndCutsTheRestAtAWholeCharacter) {
    EXPECT_EQ(shortened("L1", 16), "L1");
    EXPECT_EQ(shortened("sixteen letters.", 16), "sixteen letters.");
    EXPECT_EQ(shortened("Building sewer, north", 16), "Building sewer,…");
    EXPECT_EQ(shortened("Grüße aus Köln am Rhein", 6), "Grüße…");
    EXPECT_EQ(shortened("ßßßß", 3), "ßß…");
}

TEST(LabelSpace, PrefersAPlaceInsideTheDrawing) {
    LabelSpace space(100.0, 100.0);
    EXPECT_EQ(space.place({{80.0, 10.0, 120.0, 20.0}, {40.0, 10.0, 80.0, 20.0}}), 1U);
}

}  // namespace
}  // namespace sondeline
