#include "intake/note_kinds.hpp"

namespace sondeline {

bool is_end(NoteCategory category) {
    return category == NoteCategory::end || category == NoteCategory::cap;
}

}  // namespace sondeline
