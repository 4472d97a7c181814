/* src/papers/render.h: scenes as PDF and PNG, drawn from their SVG by librsvg and cairo. */
#ifndef SWI_RENDER_H
#define SWI_RENDER_H

#include "scene.h"
#include <stripwright/diag.h>

/* Both: SW_USAGE and `picture-unsupported` when the library was built without librsvg,
 * SW_SYSTEM and `picture-failed` when it cannot draw.  Same scenes, same fonts, same
 * bytes: no clock goes in. */

/* A page a scene, each of its own size in mm.  date: "" or YYYY-MM-DD for the file's
 * dates; made_by: who made it. */
sw_status swi_render_pdf(const swi_scene *const *pages, size_t count, const char *title,
                         const char *made_by, const char *date, sw_diags *diags, sw_buf *out);
/* White behind; `scale` in pixels a mm, lowered when the picture would have more than
 * 16000 pixels a side (`picture-scaled`). */
sw_status swi_render_png(const swi_scene *scene, double scale, sw_diags *diags, sw_buf *out);

#endif
