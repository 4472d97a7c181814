/* formats/drawing: the drawing of a plan as SVG. */
#include "base/fault.h"
#include "formats/formats.h"
#include "papers/figure.h"
#include "papers/svg.h"

static sw_status write_drawing(const sw_document *document, const sw_write_options *options,
                               sw_diags *diags, sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    swi_scene *scene = swi_figure_new(subject, options->side, "", diags);
    const swi_svg_options how = {.scale = options->scale};
    status = scene ? swi_svg_write(scene, &how, out) : SW_SYSTEM;
    swi_scene_free(scene);
    swi_subject_free(subject);
    return status == SW_OK ? SW_OK : swi_out_of_memory(diags);
}

static const char *const extensions[] = {".svg", NULL};
static const char *const aliases[] = {"svg", NULL};

const sw_format swi_format_drawing = {
    .name = "drawing",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "drawing of the plan, both sides of the board, true to size",
    .standard = "SVG 1.1",
    .keeps = "all of a plan, to be looked at; cannot be read back",
    .group = SW_GROUP_PAPER,
    .write = write_drawing,
};
