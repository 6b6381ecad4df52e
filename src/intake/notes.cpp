#include <array>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 7> kColumns{"run",  "counter",  "video time", "to counter",
                                                   "what", "category", "severity"};

constexpr std::array kCategories{
    NoteCategory::root,         NoteCategory::crack,   NoteCategory::collapse,
    NoteCategory::offset_joint, NoteCategory::deposit, NoteCategory::standing_water,
    NoteCategory::fitting,      NoteCategory::cap,     NoteCategory::end,
    NoteCategory::infiltration, NoteCategory::other};

}  // namespace

const TableForm kNotesForm{"notes", kColumns};

std::vector<Note> read_notes(const Table& table, const std::vector<Run>& runs, Reading& reading,
                             FindingLog& log) {
    std::vector<Note> notes;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        Note note;
        note.run.text = row.text("run");
        const auto unit = counter_unit_of(runs, note.run);
        note.counter = row.counter("counter", unit);
        note.to_counter = row.counter("to counter", unit);
        if (note.counter && row.has("video time")) {
            log.caution(row.where("video time"),
                        "The note gives counter and video time; only the counter was used.",
                        "Keep the one that was written down at the spot.");
        } else {
            note.video_time_s = row.video_time_s("video time");
        }
        note.what = row.text("what");
        note.category = row.choice("category", kCategories, NoteCategory::other);
        note.severity = row.text("severity");
        note.source = cells.source;
        notes.push_back(std::move(note));
    }
    return notes;
}

}  // namespace sondeline
