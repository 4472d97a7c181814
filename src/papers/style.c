/* src/papers/style.c: what marks look like.  Lengths are mm.
 *
 * Everything must survive a print in one bit: shape tells first, shade only helps.
 * No colour in print but the pale paper lines; on screen one accent (the blue of
 * Okabe and Ito's set, from memory), always together with a heavier line.
 */
#include "svg.h"

static const char style[] =
    "text{font-family:Helvetica,\"Nimbus Sans\",\"Liberation Sans\",Arial,sans-serif;fill:#000}\n"
    ".n{font-family:Times,\"Nimbus Roman\",\"Liberation Serif\",\"Times New Roman\",serif;"
    "font-style:italic}\n"
    ".serif{font-family:Times,\"Nimbus Roman\",\"Liberation Serif\",\"Times New Roman\",serif}\n"
    ".b{font-weight:bold}.r{font-weight:normal}.m{text-anchor:middle}.e{text-anchor:end}"
    ".g{fill:#555}\n"
    ".sheet{fill:#fff}.paper{fill:#fff}.grid{stroke:#c4d6e2;stroke-width:.06;fill:none}\n"
    ".edge{fill:#fff;stroke:#000;stroke-width:.3}.frame{fill:none;stroke:#000;stroke-width:.22}\n"
    ".band{fill:#ececec}.line{stroke:#000;stroke-width:.13;fill:none}\n"
    ".idle{stroke:#333;stroke-width:.12;stroke-dasharray:.1 .5;stroke-linecap:round;fill:none}\n"
    ".hid{stroke:#000;stroke-width:.1;stroke-dasharray:.5 .3;fill:none}\n"
    ".hole{fill:#fff;stroke:#000;stroke-width:.09}.ghost{fill:#fff;stroke:#444;stroke-width:.08}\n"
    ".body{fill:#fff;stroke:#000;stroke-width:.22;stroke-linejoin:round}\n"
    ".mark{fill:none;stroke:#000;stroke-width:.22}.bar{fill:none;stroke:#000;stroke-width:.6}\n"
    ".flat{fill:none;stroke:#000;stroke-width:.5}.wire{stroke:#000;stroke-width:.3;fill:none}\n"
    ".ink{fill:#000}.open{fill:#fff;stroke:#000;stroke-width:.18}\n"
    ".lk{stroke:#000;stroke-width:.55;fill:none}.lkc{stroke:#fff;stroke-width:1.05;fill:none}\n"
    ".lku{stroke:#000;stroke-width:.4;stroke-dasharray:.9 .5;fill:none}\n"
    ".sleeve{fill:none;stroke:#000;stroke-width:.1}\n"
    ".lke{fill:#fff;stroke:#000;stroke-width:.28}\n"
    ".rule{stroke:#000;stroke-width:.12;fill:none}.call{stroke:#000;stroke-width:.1;fill:none}\n"
    ".tick{stroke:#000;stroke-width:.1}.tick5{stroke:#000;stroke-width:.2}\n"
    ".cu{fill:#fff;stroke:#000;stroke-width:.13}.eng{stroke:#000;stroke-width:.07;fill:none}\n"
    ".out{fill:none;stroke:#000;stroke-width:.12;stroke-dasharray:.6 .4}\n"
    ".ring{fill:none;stroke:#000;stroke-width:.3}.ringc{fill:none;stroke:#fff;stroke-width:.7}\n"
    ".stays use{opacity:.4}.stays text{fill:#888}\n"
    ".stays .body,.stays .mark,.stays .bar,.stays .flat,.stays .wire,.stays .lk,.stays .lku,.stays .sleeve,"
    ".stays .call{stroke:#999}\n"
    ".new .body{stroke-width:.45}.cross{stroke:#000;stroke-width:.3;fill:none}\n"
    ".off{fill:none;stroke:#000;stroke-width:.22;stroke-dasharray:.7 .5}\n"
    ".box{fill:none;stroke:#000;stroke-width:.2}\n"
    "@media screen{[data-ref]:hover .body,[data-ref]:hover .wire,[data-ref]:hover .lk"
    "{stroke:#0072b2;stroke-width:.5}}\n";

void swi_svg_style(sw_buf *out) {
    sw_buf_puts(out, style);
}

void swi_svg_hover_style(sw_buf *out, uint32_t node_most) {
    for (uint32_t n = 1; n <= node_most; n++)
        sw_buf_printf(out,
                      "svg:has([data-node=\"%u\"]:hover) [data-node=\"%u\"] :is(.line,.lk)"
                      "{stroke:#0072b2;stroke-width:.7}"
                      "svg:has([data-node=\"%u\"]:hover) text[data-node=\"%u\"]"
                      "{fill:#0072b2;font-weight:bold}\n",
                      (unsigned)n, (unsigned)n, (unsigned)n, (unsigned)n);
}

/* Each is drawn about its own middle. */
const char swi_svg_symbols[] =
    "<g id=\"s-hole\"><circle r=\".44\" class=\"hole\"/></g>\n"
    "<g id=\"s-lead\"><circle r=\".46\" class=\"ink\"/></g>\n"
    "<g id=\"s-pin1\"><rect x=\"-.5\" y=\"-.5\" width=\"1\" height=\"1\" class=\"ink\"/></g>\n"
    "<g id=\"s-nc\"><circle r=\".46\" class=\"open\"/>"
    "<path d=\"M-.72 .72L.72-.72\" class=\"open\"/></g>\n"
    "<g id=\"s-nc1\"><rect x=\"-.5\" y=\"-.5\" width=\"1\" height=\"1\" class=\"open\"/>"
    "<path d=\"M-.78 .78L.78-.78\" class=\"open\"/></g>\n"
    "<g id=\"s-term\"><circle r=\".82\" class=\"open\"/><circle r=\".46\" class=\"ink\"/></g>\n"
    "<g id=\"s-eye\"><circle r=\".52\" class=\"lke\"/></g>\n"
    "<g id=\"s-cut\"><circle r=\".84\" class=\"paper\"/><circle r=\".63\" fill=\"#fff\" "
    "stroke=\"#000\" stroke-width=\".14\"/><path d=\"M0 0V-.7A.7 .7 0 0 1 .7 0ZM0 0V.7A.7 .7 0 0 "
    "1-.7 0Z\" class=\"ink\"/></g>\n"
    "<g id=\"s-knife\"><path d=\"M0-.95V.95\" stroke=\"#fff\" stroke-width=\"1\"/>"
    "<path d=\"M0-.95V.95\" stroke=\"#000\" stroke-width=\".4\"/></g>\n"
    "<g id=\"s-plus\"><path d=\"M-.45 0H.45M0-.45V.45\" stroke=\"#000\" stroke-width=\".2\"/></g>\n"
    "<g id=\"s-lead-ring\"><circle r=\".78\" class=\"paper\"/><circle r=\".46\" class=\"ink\"/></g>\n"
    "<g id=\"s-pin1-ring\"><circle r=\".86\" class=\"paper\"/>"
    "<rect x=\"-.5\" y=\"-.5\" width=\"1\" height=\"1\" class=\"ink\"/></g>\n"
    "<g id=\"s-eye-ring\"><circle r=\".86\" class=\"paper\"/><circle r=\".52\" class=\"lke\"/></g>\n";
