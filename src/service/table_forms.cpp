#include "service/table_forms.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

struct Form {
    std::string name;
    std::vector<std::string> header;
    std::vector<std::string> example;
    std::string word;
};

// The names of columns, with the unit a tape or receiver shows.
struct UnitWords {
    std::string length;    // tapes and rods
    std::string depth;     // receivers
    std::string diameter;  // pipes
};

UnitWords words_of(LengthUnit unit) {
    if (unit == LengthUnit::metre) return {"(m)", "(m)", "(mm)"};
    return {fmt::format("({})", unit_symbol(unit)), "(in)", "(in)"};
}

std::vector<Form> forms(LengthUnit unit) {
    const bool metric = unit == LengthUnit::metre;
    const UnitWords in = words_of(unit);
    const auto pick = [&](const char* metres, const char* feet) {
        return std::string(metric ? metres : feet);
    };
    return {
        {"structures",
         {"id", "kind", "lon", "lat", "ground " + in.length, "h accuracy (m)", "capacity", "note"},
         {"box", "distribution box", "-92.1005974", "41.1986335", "", "0.03", "", "lid sound"},
         "kind: building, cleanout, tank, distribution box, drop box, junction, pump chamber, "
         "seepage pit, trench end, reference, other. A position may come from the table ties "
         "instead, or be left out."},
        {"fixes",
         {"id", "run", "counter", "lon", "lat", "h accuracy (m)", "depth " + in.depth, "heading",
          "method", "note"},
         {"F1", "L1", "12.4", "-92.1005728", "41.1986309", "0.06", pick("0.83", "32.5"), "96",
          "sonde", ""},
         "counter: what the picture showed while the head was held there. heading: degrees from "
         "north, either way along the pipe. method: sonde, probe or open. A column clock or video "
         "time may stand in place of counter; x and y in place of lon and lat."},
        {"levels",
         {"setup", "point", "backsight " + in.length, "foresight " + in.length,
          "elevation " + in.length},
         {"1", "BM", pick("1.521", "4.99"), "", pick("30.000", "100.00")},
         "point: a structure, a fix or a turning point. Give one elevation, and read that point "
         "again at the end: it shows whether the levels close."},
        {"ties",
         {"point", "reference", "distance " + in.length, "side"},
         {"box", "corner", pick("12.43", "40.78"), "left"},
         "Tape every point from two marks. side: left or right of the line from the first mark to "
         "the second."},
        {"notes",
         {"run", "counter", "to counter", "what", "category", "severity"},
         {"L1", "46.0", "", "fine roots at a joint", "root", "light"},
         "category: root, crack, collapse, offset joint, deposit, standing water, fitting, cap, "
         "end, infiltration, other."},
        {"records",
         {"document", "dated", "item", "of", "value", "unit"},
         {"permit drawing", "1987-06", "run length", "L1", pick("17", "58"), pick("m", "ft")},
         "item: run length, total trench length, number of laterals, tank capacity, depth, slope, "
         "install year. of: a run, a kind, a structure, or nothing for the whole system."},
        {"loadtest",
         {"step", "clock", "volume", "seconds", "point", "level " + in.depth, "note"},
         {"bucket", "", pick("20 l", "5 gal"), "36", "", "", "garden hose"},
         "Bucket timings give the flow; start water and stop water with their clocks the volume; "
         "levels what each port showed."},
    };
}

Form runs_form(LengthUnit unit) {
    const UnitWords in = words_of(unit);
    const bool metric = unit == LengthUnit::metre;
    return {"runs",
            {"id", "footage", "kind", "from", "to", "status", "diameter " + in.diameter, "material",
             "counter at start", "start invert depth " + in.depth, "end invert depth " + in.depth,
             "start heading", "note"},
            {"L1", "lateral1.mp4", "lateral", "box", "", "open", metric ? "100" : "4",
             "PVC perforated", "2.3", metric ? "0.86" : "34", "", "95", ""},
            "One row for each pipe pushed. Several clips of one run: names with ; between. kind: "
            "building sewer, effluent line, lateral, trench, other. from, to: structures; an empty "
            "to is a blind end. status: open, capped, broken (the head could not pass; pushed "
            "through a break is open, with a note), not entered. counter at start: what the "
            "picture showed with the lens at the structure."};
}

}  // namespace

std::vector<TableToFill> tables_to_fill(const Job& job, LengthUnit unit) {
    std::vector<TableToFill> tables;
    TableToFill settings{"job", {"key", "value"}, {}};
    settings.rows = {{"site", ""},
                     {"date", ""},
                     {"prepared by", ""},
                     {"prepared for", ""},
                     {"length unit", std::string(unit_symbol(unit))},
                     {"utc offset", ""},
                     {"sonde setback", ""}};
    tables.push_back(std::move(settings));
    TableToFill runs{"runs", runs_form(unit).header, {}};
    for (const Run& run : job.runs) {
        std::vector<std::string> row(runs.header.size());
        row[0] = run.id.text;
        row[1] = fmt::format("{}", fmt::join(run.footage, "; "));
        runs.rows.push_back(std::move(row));
    }
    tables.push_back(std::move(runs));
    for (Form& form : forms(unit)) {
        tables.push_back({std::move(form.name), std::move(form.header), {}});
    }
    return tables;
}

std::string filling_in_text(LengthUnit unit) {
    std::string text =
        "How to fill in the tables\n\n"
        "Leave a cell empty when it was not measured, and strike tables that are not needed.\n"
        "A unit in a cell, like 2' 6\" or 0.76 m, wins over the one in the header.\n"
        "Then run: sondeline check FOLDER\n";
    std::vector<Form> all{runs_form(unit)};
    for (Form& form : forms(unit)) all.push_back(std::move(form));
    for (const Form& form : all) {
        text += fmt::format("\n{}\n", form.name);
        for (std::size_t i = 0; i < form.header.size(); ++i) {
            if (!form.example[i].empty()) {
                text += fmt::format("  {:<26} {}\n", form.header[i], form.example[i]);
            }
        }
        text += "  " + form.word + "\n";
    }
    return text;
}

}  // namespace sondeline
