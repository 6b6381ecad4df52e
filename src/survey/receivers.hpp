// Which positions share an unknown error because one receiver took them.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// The receivers of a job whose job table states an offset; none otherwise. Where no row names a
// receiver all positions come from one.
class Receivers {
  public:
    Receivers(const Job& job, Findings& findings);

    const std::vector<SiteReceiver>& all() const { return all_; }

    // Of a position whose row names `receiver`; empty: it counts from known points.
    std::optional<int> of(const std::string& receiver) const;

  private:
    std::vector<SiteReceiver> all_;
};

// A structure held by tapes moves with the marks it was taped from: it takes their receiver when
// they have one in common.
void share_receivers_of_marks(const std::vector<TieObservation>& ties,
                              std::vector<SiteStructure>& structures);

}  // namespace sondeline
