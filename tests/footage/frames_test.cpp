#include "footage/frames.hpp"

#include <gtest/gtest.h>

namespace sondeline {
TEST(Frames, Placeholder) { SUCCEED(); }
}
