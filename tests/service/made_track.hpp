// A Track with something in every field, for tests of keeping it.
#pragma once

#include "sondeline/footage.hpp"

namespace sondeline {

inline Track made_track(const std::string& sha256) {
    Track track;
    track.clip = {"lateral.mp4", sha256, 4711,  "mp4", "h264", 704,  480,
                  1234,          41.1,   29.97, true,  true,   1.7e9};
    track.format = CounterFormat{
        {10, 20, 90, 18}, CounterUnit::foot, 0.9, 4, 1, true, "0012.4 ft", 0.97, true};
    track.samples = {{0.0, 0.1, 0.999, CounterState::zero, ""},
                     {0.1, std::nullopt, 0.0, CounterState::missing, "the picture is damaged"},
                     {0.2, 0.30000000000000004, 0.99, CounterState::push, ""}};
    track.holds = {{1.0, 4.0, 12.5}};
    track.zeroings = {{5.0, 3.0, 0.0, true}};
    track.pull_backs = {{6.0, 9.0, 30.0, 28.0}};
    track.other_fields = {{{1, 2, 3, 4}, FieldKind::clock}};
    track.clock = OverlayClock{{5, 6, 70, 18}, 36003.5, 0.05, true, "2026-05-14"};
    track.grade = GradeLog{{7, 8, 50, 18}, InclinationUnit::percent, 0.1, {{0.2, 0.3, -1.4}}};
    track.water =
        WaterLog{{{0.5, WaterState::water, 1.6, 0.12}, {1.0, WaterState::dry, 1.5, {}}},
                 Estimate{0.48, 0.03},
                 {{3.0, 7.5, 0.3, 0.4, true, false, {{5.0, {0.12, 0.03}}}, true, true, false, 0.5}},
                 {{0.5, 9.0, 0.12, false}, {9.0, 12.0, {}, true}}};
    track.marks = {{PassingKind::ring, 2.5, 8.0, 2.1}, {PassingKind::turn, 4.25, 15.5, {}}};
    track.joint_row = JointRow{{1.52, 0.01}, 2.5, 17.7, 9};
    track.evidence = {{0.0, "first reading", std::string("\x89PNG\0x", 6)}};
    track.coverage = 2.0 / 3.0;
    track.findings = {{Severity::caution,
                       {"lateral.mp4", 3, "counter", "L1", "box", 1.5, 2.5},
                       "The clip is cut off.",
                       "Copy it again.",
                       Consequence::input_rejected}};
    return track;
}

}  // namespace sondeline
