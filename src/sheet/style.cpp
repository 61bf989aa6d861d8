#include "sheet/style.h"

#include <fmt/format.h>

#include "sheet/sheet.h"
#include "sheet/text.h"

namespace brink::sheet {
namespace {

// Colours that people with any colour vision tell apart (M. Okabe, K. Ito, Color Universal Design,
// 2008): blue, vermilion, bluish green, on dark screens sky blue, orange, bluish green. Words are
// ink on paper, never coloured.
constexpr std::string_view kStyle = R"css(
:root{--ink:#141414;--soft:#4a4a4a;--paper:#fff;--grid:#dedede;--rule:#b4b4b4;--wash:#f3f3f1;
--blue:#0072B2;--red:#D55E00;--green:#009E73;--sky:#56B4E9}
@media screen and (prefers-color-scheme:dark){:root{--ink:#f1f1ee;--soft:#c2c2bd;--paper:#131315;--grid:#34343a;
--rule:#5c5c63;--wash:#1f1f23;--blue:#56B4E9;--red:#E69F00;--sky:#0072B2}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0 auto;max-width:50rem;padding:1.2rem 1rem 2rem;background:var(--paper);color:var(--ink);
font:15px/1.45 system-ui,sans-serif;font-variant-numeric:tabular-nums;overflow-wrap:break-word}
bdi{overflow-wrap:anywhere}
h1,h2,h3,p,dl,ul,figure,table{margin:0}
header{border-bottom:3px solid var(--ink);padding-bottom:.7rem}
.over{font-size:.85rem;color:var(--soft)}
h1{font-size:2rem;line-height:1.15;letter-spacing:-.01em}
.show{font-size:1.1rem;margin-top:.2rem}
h2{font-size:1.5rem;line-height:1.2;display:flex;gap:.6rem;align-items:baseline}
h2 .no{background:var(--ink);color:var(--paper);padding:0 .5rem;border-radius:2px;flex:none}
h3{font-size:1.02rem;margin-top:1.5rem;padding-bottom:.15rem;border-bottom:1px solid var(--rule)}
section{margin-top:2.4rem}
header+section{margin-top:1.2rem}
.facts{color:var(--soft);margin-top:.35rem}
.facts .tick::before{content:"\2713\00a0";color:var(--ink);font-weight:700}
.facts b{color:var(--ink);font-weight:600}
.paper{display:none}
.words{margin:.6rem 0;max-width:44rem}
.big{display:grid;grid-template-columns:repeat(4,1fr);gap:.5rem;margin-top:.9rem}
.big div{border-top:2px solid var(--ink);padding-top:.25rem}
.big dt{font-size:.82rem;color:var(--soft)}
.big dd{margin:0;font-size:1.45rem;font-weight:650;line-height:1.2;white-space:nowrap}
.big .first{background:var(--ink);color:var(--paper);padding:.25rem .6rem .4rem}
.big .first dt{color:inherit}
table{border-collapse:collapse;width:100%;margin-top:.5rem;font-size:.9rem}
caption{text-align:left;color:var(--soft);font-size:.85rem;padding:.1rem 0 .3rem}
th,td{text-align:right;padding:.28rem .5rem;border-bottom:1px solid var(--grid);vertical-align:baseline}
th:first-child,td:first-child{padding-left:0}
th:last-child,td:last-child{padding-right:0}
thead th{font-weight:600;font-size:.82rem;color:var(--soft);border-bottom:1.5px solid var(--ink);vertical-align:bottom}
tbody th{font-weight:650}
.l{text-align:left}
td.main{font-weight:650}
td small{color:var(--soft);font-weight:400}
td small.b{display:block}
.n{white-space:nowrap}
figure{margin-top:.6rem}
figure svg{display:block;width:100%;height:auto;font:12px system-ui,sans-serif}
.narrow{display:none}
figcaption{font-size:.82rem;color:var(--soft);margin-top:.2rem}
.key{display:inline-block;margin-right:.9rem}
.key svg{display:inline-block;width:18px;height:14px;vertical-align:-2px;margin-right:.35rem;flex:none}
svg text{fill:var(--soft)}
svg .strong{fill:var(--ink);font-weight:600}
svg .halo{paint-order:stroke;stroke:var(--paper);stroke-width:4px;stroke-linejoin:round}
svg .grid{stroke:var(--grid)}
svg .zero{stroke:var(--soft);stroke-width:1.2}
svg .row{stroke:var(--rule)}
svg .curve{fill:none;stroke:var(--blue);stroke-width:2.4;stroke-linejoin:round}
svg .ring{fill:var(--red)}
svg .calm{fill:var(--green)}
svg .still{fill:var(--red)}
svg .open{fill:var(--paper);stroke:var(--red);stroke-width:2}
svg .cross{fill:none;stroke:var(--ink);stroke-width:2}
svg .growth{stroke:var(--ink);stroke-width:1.6;fill:none}
svg .number{fill:var(--ink)}
svg .in{fill:var(--paper);font-weight:600;font-size:11px}
svg .small{font-size:9px}
svg .rang{stroke:var(--red);stroke-width:3}
svg .came{stroke:var(--ink);stroke-width:3}
svg .won{fill:var(--sky)}
svg .edge{stroke:var(--ink);stroke-width:1;stroke-dasharray:2 3}
svg .leave{stroke:var(--green);stroke-width:2;stroke-dasharray:8 4}
svg .span{stroke:var(--ink);stroke-width:1.5}
svg .ink{fill:var(--ink)}
svg .bar{fill:var(--blue)}
svg .limit{stroke:var(--red);stroke-width:1.8;stroke-dasharray:7 4}
.note{white-space:pre-line;border-left:3px solid var(--rule);padding-left:.7rem;margin-top:.5rem}
.care{border:2px solid var(--ink);padding:.6rem .8rem;margin-top:2rem;font-size:.9rem}
.care.short{border-width:0 0 0 2px;padding:0 0 0 .7rem;margin-top:1.2rem;color:var(--soft);font-size:.82rem}
footer{margin-top:1rem;color:var(--soft);font-size:.8rem}
@media screen and (max-width:640px){
.n{white-space:normal}
.tight{font-size:.84rem}
.tight thead th{font-size:.78rem}
.tight td small{display:block}
.tight th,.tight td{padding-left:.2rem;padding-right:.2rem}
body{padding:.9rem .85rem 2rem}
h1{font-size:1.6rem}
h2{font-size:1.3rem}
.wide{display:none}
.narrow{display:block;max-width:30rem}
.big{grid-template-columns:1fr 1fr}
.cards thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.cards,.cards tbody,.cards caption{display:block}
.cards tr{display:grid;grid-template-columns:1fr 1fr;gap:0 1rem;padding:.45rem 0;border-bottom:1px solid var(--rule)}
.cards th,.cards td{border:0;padding:.08rem 0;text-align:left}
.cards tbody th,.cards td.full{grid-column:1/-1}
.cards tbody th{font-size:1.02rem}
.cards tbody th::before{content:attr(data-label) " "}
.cards td::before{content:attr(data-label) " ";color:var(--soft);font-weight:400;font-size:.85em}
.cards td:empty{display:none}
}
@page{size:A4;margin:14mm 15mm 15mm}
@media print{
body{max-width:none;padding:0;font-size:9.4pt;line-height:1.38}
th,td{padding-top:.2rem;padding-bottom:.2rem}
h3{margin-top:1.1rem}
.big{margin-top:.6rem}
h1{font-size:20pt}
section.output{break-before:page;margin-top:0}
section.alone{break-before:auto;margin-top:1.1rem}
section.alone .paper{display:none}
td .row{white-space:nowrap}
.alone figure svg{max-height:34mm}
.alone .words{margin:.3rem 0}
.alone h3{margin-top:.8rem}
.alone .care{display:none}
h2,h3,caption,.facts{break-after:avoid}
h3+.words,h3+figure{break-before:avoid}
figure,tr,.big,.note,.care,.whole,.keep{break-inside:avoid}
thead{display:table-header-group}
.paper{display:block;margin-bottom:.4rem}
.care{margin-top:.8rem;padding:.4rem .6rem;font-size:.86rem}
a{color:inherit}
p{orphans:3;widows:3}
}
)css";

}  // namespace

std::string sheet_beginning() {
  return "<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n"
         "<meta charset=\"utf-8\"/>\n<meta name=\"generator\" content=\"brink book sheet\"/>\n";
}

std::string sheet_page(std::string_view title, std::string_view body) {
  return fmt::format(
      "{}<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<meta name=\"color-scheme\" content=\"light dark\"/>\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
      "'unsafe-inline'\"/>\n"
      "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n{}</body>\n</html>\n",
      sheet_beginning(),
      markup_safe(title),
      kStyle,
      body);
}

std::string safety_markup() {
  return "<p class=\"care\"><strong>Take care.</strong> Feedback hurts ears and destroys drivers "
         "within seconds. These cuts belong to this microphone, where it stood, these loudspeakers "
         "and this room: when one of them changes, raise slowly from silence with a hand on the "
         "fader and ring out again. Wear hearing protection on stage: 100\u00A0dBA may be borne "
         "for "
         "15\u00A0minutes a day, 85\u00A0dBA for 8\u00A0hours (NIOSH, 3\u00A0dB exchange); a venue "
         "should stay below 100\u00A0dB L<sub>Aeq,15min</sub> (WHO, 2022). Local rules and "
         "qualified people come first. Whoever uses this sheet listens and decides.</p>\n";
}

}  // namespace brink::sheet
