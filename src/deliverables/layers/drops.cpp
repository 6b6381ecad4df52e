#include "deliverables/layers.hpp"

namespace sondeline {

LayerTable drops_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"drops",
                     "How far inverts lie apart inside a structure",
                     LayerGeometry::none,
                     {{"structure_id", text, "Structure where both pipes end"},
                      {"from_run", text, "The higher pipe: that comes in, or another that leaves"},
                      {"to_run", text, "The pipe that leaves"},
                      {"between", text, "`inlet and outlet` or `outlets`"},
                      {"drop_m", real, "Invert of from_run less invert of to_run, m"},
                      {"drop_lo95_m", real, "Its lower 95 % bound, m"},
                      {"drop_hi95_m", real, "Its upper 95 % bound, m"},
                      {"how", text, "`taped` from one rim, or `profiles` of both runs"},
                      {"words", text, "The same in plain words"}},
                     {}};
    for (const StructureDrop& drop : as_built.appraisal.drops) {
        table.rows.push_back({{text_cell(drop.structure.text), text_cell(drop.from_run.text),
                               text_cell(drop.to_run.text),
                               text_cell(drop.between_outlets ? "outlets" : "inlet and outlet"),
                               real_cell(drop.drop_m.value, 4), real_cell(drop.drop_m.lo95, 4),
                               real_cell(drop.drop_m.hi95, 4),
                               text_cell(drop.taped ? "taped" : "profiles"), text_cell(drop.words)},
                              {}});
    }
    return table;
}

}  // namespace sondeline
