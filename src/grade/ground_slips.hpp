// Ground heights that their neighbours and the pipe below both contradict.
#pragma once

#include "grade/screening.hpp"

namespace sondeline::grade {

// A ground height wrong by s moves the ground and the invert taken from it by the same s. Ground is
// taken to wander as in ground.hpp about an even fall; the invert as in screening.hpp. With r and g
// the standardised differences of invert and ground from what all others say, each counted from its
// own weights q_r and q_g, s = (q_r r + q_g g)/(q_r + q_g), and its standard deviation is
// 1/√(q_r + q_g): data snooping with one gross error in two observations (Baarda, A testing
// procedure for use in geodetic networks, 1968).
//
// A height goes while its |s| is the largest and above 3.7 standard deviations, ground and invert
// speak for it each, and do not disagree on its size: it is taken out of the ground along the run,
// the depth there counts from the ground interpolated, and a finding names the fix. The height of a
// structure whose invert is taped is judged likewise, and goes from every run that meets it. At
// most a third as many heights as a run has fixes. Nothing happens without known ground.
// Where another run that meets the structure finds its height right, the fixes of those that do not
// were levelled from elsewhere, or their heights come from another source: these runs are held
// back. So are all runs at the structures where several look off by one height.
// `runs` are those of `lines`, in the same order. Gives whose heights went, also where it was the
// only one of a run and stayed with wide bounds.
struct GroundSlips {
    HeightsNotUsed not_used;
    std::vector<std::optional<Withheld>> held_back;  // by run: why it has no profile
};
GroundSlips leave_out_slipped_ground(const Lines& lines, std::vector<RunRows>& runs);

// "A rod reading off by 1 ft would explain it." where a whole foot (in a job in metres a whole
// decimetre) lies within `sd_m` twice; else empty. Starts with a blank.
std::string whole_slip_words(std::string_view reading, double slip_m, double sd_m, LengthUnit unit);

}  // namespace sondeline::grade
