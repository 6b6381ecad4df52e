// Which way the water should run, from what the run joins and not from the push.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline::grade {

struct Flow {
    bool with_push = true;
    bool known = false;  // false: with_push is only a default
    // Trenches and laterals are laid level, so that their whole length takes water alike.
    bool level = false;
    // A force main away from a pump chamber: it may climb, and stands full.
    bool pumped = false;
    // It falls against the way its ends are named, which is then kept as its direction, and no
    // other run tells which of the two is so (settle_flows.hpp).
    bool in_question = false;
};

// Water runs building → cleanout → tank → pump chamber → box → pit or trench end. Where only one
// end tells, the kind of the run decides: a building sewer runs to the tank, an effluent line away
// from the tank or to the box, laterals and trenches away from the box. A kind in doubt decides
// nothing, and the run may be one that is laid level.
Flow flow_of(const SiteRun& run, const std::vector<AlignedStructure>& structures);

}  // namespace sondeline::grade
