#include "footage/candidate_list.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// A layout that reads `first`, one more in every crop, with its point `logit` like one.
Candidate reading(int places, int decimals, double logit, double rank, std::int64_t first) {
    Candidate made;
    made.grid.places = places;
    made.grid.decimals = decimals;
    made.grid.point_logit = logit;
    made.rank = rank;
    made.path.score = rank - 2.0;
    for (int i = 0; i < 20; ++i) {
        PathValue value;
        value.ticks = first + i;
        value.probability = 0.999F;
        made.path.values.push_back(value);
    }
    return made;
}

int decimals_first(std::vector<Candidate> candidates) {
    put_seen_point_first(candidates);
    return candidates.front().grid.decimals;
}

// 44.5 ranks below 4.45 for never being near zero.
TEST(CandidateList, PutsFirstTheLayoutWhosePointIsSeen) {
    EXPECT_EQ(decimals_first({reading(1, 2, -1.4, 13.5, 445), reading(2, 2, 2.4, 13.3, 4450),
                              reading(2, 1, 4.4, 12.8, 445)}),
              1);
}

TEST(CandidateList, LeavesAPointWhereItLooksLikeOneOrNoneIsSeenElsewhere) {
    EXPECT_EQ(decimals_first({reading(1, 2, 0.5, 13.5, 445), reading(2, 1, 4.4, 12.8, 445)}), 2);
    EXPECT_EQ(decimals_first({reading(1, 2, -1.4, 13.5, 445), reading(2, 1, 0.5, 12.8, 445)}), 2);
}

TEST(CandidateList, MovesThePointOnlyForALayoutThatReadsTheSameDigitsAsWell) {
    EXPECT_EQ(decimals_first({reading(1, 2, -1.4, 13.5, 445), reading(2, 1, 4.4, 12.8, 645)}), 2);
    EXPECT_EQ(decimals_first({reading(1, 2, -1.4, 13.5, 445), reading(2, 1, 4.4, 12.0, 445)}), 2);
    EXPECT_EQ(decimals_first({reading(1, 2, -1.4, 13.5, 445), reading(3, 1, 4.4, 13.3, 445)}), 2);
}

// Else what is less than a contender behind the best would be dropped, and the doubt with it.
TEST(CandidateList, KeepsTheRankOfTheBestForTheLayoutPutFirst) {
    std::vector candidates{reading(1, 2, -1.4, 13.5, 445), reading(2, 1, 4.4, 12.8, 445)};
    put_seen_point_first(candidates);
    EXPECT_EQ(candidates[0].rank, 13.5);
    EXPECT_EQ(candidates[1].grid.decimals, 2);
}

}  // namespace
}  // namespace sondeline
