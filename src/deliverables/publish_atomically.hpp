// A folder of files appears all at once or not at all.
#pragma once

#include <filesystem>
#include <functional>
#include <set>
#include <string>

namespace sondeline {

// Calls `write` with an empty folder beside `out`, then puts that folder in the place of `out` in
// one step (Linux renameat2). What stood in `out` and is not ours, by `names`, is kept; of ours
// only what `write` made is there afterwards. Folders left over by an interrupted run are removed.
// Throws OutputError, and then the old `out` is intact.
void publish_atomically(const std::filesystem::path& out, const std::set<std::string>& names,
                        const std::function<void(const std::filesystem::path&)>& write);

}  // namespace sondeline
