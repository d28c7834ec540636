#include "report_parts.hpp"

namespace plumbstack {

// One column that fits a phone, and A4 in grey: on paper the grounds go and borders tell.
const char* const kReportStyle = R"css(
*{box-sizing:border-box}
body{font:16px/1.5 "DejaVu Sans",Verdana,system-ui,sans-serif;color:#16181a;background:#fff;
 margin:0 auto;max-width:54rem;padding:1rem 1rem 3rem}
h1{font-size:1.05rem;font-weight:400;margin:0 0 .6rem;display:flex;flex-wrap:wrap;
 justify-content:space-between;gap:.2rem 1rem}
h2{font-size:1.35rem;line-height:1.2;margin:2.4rem 0 .8rem;padding-top:.5rem;
 border-top:3px solid #16181a}
h3{font-size:1.05rem;margin:1.4rem 0 .5rem}
p{margin:.4rem 0}
small{color:#454a4f}
.sign{width:1em;height:1em;flex:none}
.mark{width:1.15em;height:1.15em;vertical-align:-.22em;margin-right:.35em;flex:none}
.verdict{display:flex;align-items:center;gap:1.1rem;padding:1rem 1.3rem}
.verdict .sign{font-size:4.4rem}
.verdict b{display:block;font-size:3.4rem;line-height:1;letter-spacing:.01em}
.verdict p{margin:.35rem 0 0;font-size:1.05rem;line-height:1.35}
.pass{background:#005c9e;color:#fff;border:.5rem solid #005c9e}
.fix{background:#111;color:#fff;border:.5rem solid;
 border-image:repeating-linear-gradient(135deg,#ff801a 0 12px,#111 12px 24px) 8}
.retake{background:#f5de3d;color:#111;border:.5rem dashed #111}
.sides{list-style:none;display:flex;flex-wrap:wrap;gap:.5rem;padding:0;margin:.8rem 0}
.sides li{display:flex;align-items:center;gap:.45rem;border:1.5px solid #16181a;
 padding:.2rem .7rem}
.sides .sign{font-size:1.3rem}
.caution{border:2px solid #16181a;border-left-width:.9rem;padding:.6rem 1rem;margin:1rem 0}
.caution b{font-size:1.1rem}
.caution ul{margin:.3rem 0;padding-left:1.2rem}
.steps{list-style:none;counter-reset:s;padding:0;margin:.6rem 0}
.steps li{counter-increment:s;display:flex;gap:.8rem;align-items:flex-start;padding:.55rem 0;
 border-bottom:1px solid #b9bdc1;font-size:1.15rem;line-height:1.35}
.steps li:before{content:counter(s);font-weight:700;min-width:1.6em;text-align:right}
.steps li:after{content:"";order:9;margin-left:auto;width:1.2em;height:1.2em;flex:none;
 border:2px solid #16181a}
.found{list-style:none;padding:0;margin:.4rem 0}
.found li{display:flex;gap:.5rem;padding:.55rem 0;border-bottom:1px solid #b9bdc1;
 break-inside:avoid}
.found .mark{font-size:1.35rem;margin-top:.1rem}
.found p{margin:0}
.found .do{font-weight:700}
.found .do:before{content:"\2192\00a0"}
figure{margin:.6rem 0 1rem;break-inside:avoid}
figure img{width:100%;max-height:96vh;object-fit:contain;object-position:left;display:block}
.ladder{width:100%;height:auto;display:block;font-family:"DejaVu Sans",Verdana,sans-serif;
 break-inside:avoid}
.ladder text{font-size:13px;fill:#111}
.ladder .h{font-size:13px}
.ladder .n,.ladder .w,.ladder .s{font-weight:700}
.ladder .good{fill:#f4f4f2;stroke:#7b8085;stroke-width:1}
.ladder .wrong{fill:#fff;stroke:#111;stroke-width:3.4}
.ladder .unsure{fill:#fff;stroke:#111;stroke-width:1.6;stroke-dasharray:5 3.5}
.ladder .ink{fill:#111}
.ladder .ring{fill:#fff;stroke:#111;stroke-width:1.1}
.ladder .x{stroke:#fff;stroke-width:2.6}
.ladder .ask{fill:#fff;stroke:#111;stroke-width:1.6;stroke-dasharray:3 2}
.ladder{min-width:34rem}
.key{font-size:.85rem;color:#303438}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.86rem;line-height:1.3}
th,td{text-align:left;padding:.28rem .5rem;border-bottom:1px solid #b9bdc1;vertical-align:top}
thead th{border-bottom:2px solid #16181a;vertical-align:bottom}
thead{display:table-header-group}
tr{break-inside:avoid}
tr.wrong th,tr.wrong td{border-top:2px solid #111;border-bottom:2px solid #111;font-weight:700}
tr.unsure th,tr.unsure td{border-top:1.5px dashed #111;border-bottom:1.5px dashed #111}
td b{white-space:nowrap}
td:last-child{min-width:8.5em}
th{white-space:nowrap}
.prints code{font-size:.76rem;word-break:break-all}
footer{margin-top:2.5rem;padding-top:.6rem;border-top:1px solid #16181a;font-size:.82rem;
 color:#303438}
@media (max-width:34rem){.verdict{padding:.8rem;gap:.8rem}.verdict .sign{font-size:3.2rem}
 .verdict b{font-size:2.7rem}}
@media print{@page{size:A4;margin:14mm}
 body{font-size:10.5pt;max-width:none;padding:0}
 .verdict{background:none;color:#000;break-inside:avoid}
 .pass{border:2.2mm solid #000}.fix{border:2.6mm double #000;border-image:none}
 .retake{border:1.6mm dashed #000}
 h2,h3,.key{break-after:avoid}
 td,th{padding:.1rem .35rem}.ladder{min-width:0}.side{break-before:page}
 figure img{max-height:165mm}.ladder{max-height:240mm}.wide{overflow:visible}}
)css";

}  // namespace plumbstack
