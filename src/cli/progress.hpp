// Progress on standard error: a bar per clip on a terminal, a plain line per clip elsewhere.
#pragma once

#include <map>
#include <string>

namespace sondeline::cli {

class Progress {
  public:
    // `silent` prints nothing at all.
    explicit Progress(bool silent);

    // The share done of one piece of work, 0…1. Calls for different names may alternate.
    void show(const std::string& name, double share);

    // Clears the bar, so that results print on a clean line.
    void finish();

  private:
    void draw() const;

    bool silent_;
    bool terminal_;
    std::map<std::string, double> share_by_name_;
};

}  // namespace sondeline::cli
