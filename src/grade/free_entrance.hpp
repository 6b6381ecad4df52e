// Flow that enters a round pipe from still water and falls away freely.
#pragma once

#include "grade/circular_section.hpp"

namespace sondeline::grade {

// Still water standing `head_m` over the invert of a pipe that runs off freely flows through it at
// critical depth: head = y + A/(2T) and Q² = g A³/T, with wetted area A and surface width T at the
// depth y (Chow, Open-Channel Hydraulics, 1959, chapter 4, from memory). Losses at the entrance are
// left out. Litres per second; 0 when dry. The head must leave the pipe part-full: at most 0.9 of
// the bore, above which 0.9 is taken.
double free_entrance_l_per_s(Bore bore, double head_m);

// The head up to which the above holds, as a share of the bore.
inline constexpr double kDrownedHead = 0.9;

}  // namespace sondeline::grade
