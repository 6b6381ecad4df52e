#include "deliverables/page/style.hpp"

namespace sondeline {

std::string_view page_style() {
    return R"css(
:root{--ink:#1d2522;--quiet:#5c6863;--line:#d5dcd8;--pipe:#006837;--water:#1d4f9c;--fix:#b85c00;
--bad:#a1132a;--paper:#fbfcfb}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,sans-serif}
main{max-width:62rem;margin:0 auto;padding:1.5rem 1rem 4rem}
h1{font-size:1.7rem;line-height:1.2;margin:0}
h2{font-size:1.2rem;margin:2.4rem 0 .6rem;padding-top:.5rem;border-top:2px solid var(--pipe)}
h3{font-size:1rem;margin:1.6rem 0 .3rem}
p,ul{margin:.4rem 0}
.quiet,.why{color:var(--quiet);font-size:.9rem}
.lead{font-size:1.06rem}
.lead li{margin:.25rem 0}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.92rem;font-variant-numeric:tabular-nums}
th,td{text-align:left;vertical-align:top;padding:.35rem .7rem .35rem 0;border-bottom:1px solid var(--line)}
th{font-weight:600;border-bottom:1.5px solid var(--ink)}
td.num,th.num{text-align:right;white-space:nowrap}
.word{font-weight:600}
.word.problem,.word.short,.word.below{color:var(--bad)}
.word.caution,.word.long,.word.cannot{color:var(--fix)}
svg{display:block;width:100%;height:auto;background:#fff;border:1px solid var(--line);margin:.5rem 0}
svg text{font:12px system-ui,sans-serif;fill:var(--ink)}
svg text.small{font-size:11px;fill:var(--quiet)}
svg text.run-name{font-size:13px;font-weight:600;fill:var(--pipe)}
svg text.run-name,svg text.structure-name{paint-order:stroke;stroke:#fff;stroke-width:4px}
.pipe{fill:none;stroke:var(--pipe);stroke-width:2.6;stroke-linejoin:round}
.pipe.unsure{stroke-dasharray:7 5}
.band{fill:var(--pipe);opacity:.16}
.belly{fill:none;stroke:var(--water);stroke-width:9;opacity:.55}
.water{fill:var(--water);opacity:.75}
.ground{fill:none;stroke:#7a5a2e;stroke-width:1.6;stroke-dasharray:9 3}
.grid{stroke:var(--line);stroke-width:1}
.fix{stroke:var(--fix);stroke-width:1.8;fill:none}
.set-aside{stroke:var(--bad);stroke-width:1.8;fill:none}
.depth{fill:var(--fix)}
.depth.set-aside{fill:#fff;stroke:var(--bad);stroke-width:1.6}
.structure{fill:#fff;stroke:var(--ink);stroke-width:2.2}
.reference{fill:var(--ink)}
.note{fill:#fff;stroke:#7b2a6b;stroke-width:2}
.ink{fill:none;stroke:var(--ink);stroke-width:1.6}
.arrow{fill:var(--ink)}
.legend{display:flex;flex-wrap:wrap;gap:.3rem 1.2rem;font-size:.86rem;color:var(--quiet)}
.legend svg{display:inline-block;width:26px;height:14px;border:0;margin:0 .35rem 0 0;background:none;vertical-align:middle}
.safety{border-left:5px solid var(--bad);padding:.3rem 0 .3rem 1rem;background:#fff}
@media print{body{background:#fff;font-size:11pt}main{padding:0;max-width:none}
svg,tr,.keep{break-inside:avoid}h2,h3{break-after:avoid}}
)css";
}

}  // namespace sondeline
