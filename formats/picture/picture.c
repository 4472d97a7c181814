/* formats/picture: the drawing of a plan as PNG. */
#include "base/fault.h"
#include "formats/formats.h"
#include "papers/figure.h"
#include "papers/render.h"

static const double usual = 12; /* pixels a mm: three times the size on a usual screen */

static sw_status write_picture(const sw_document *document, const sw_write_options *options,
                               sw_diags *diags, sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    swi_scene *scene = swi_figure_new(subject, options->side, "", diags);
    double scale = options->scale > 0 ? options->scale * usual / 3 : usual;
    status = scene ? swi_render_png(scene, scale, diags, out) : swi_out_of_memory(diags);
    swi_scene_free(scene);
    swi_subject_free(subject);
    return status;
}

static const char *const extensions[] = {".png", NULL};
static const char *const aliases[] = {"png", NULL};

const sw_format swi_format_picture = {
    .name = "picture",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "the drawing as a picture of pixels",
    .standard = "PNG (ISO/IEC 15948)",
    .keeps = "all of a plan, to be looked at; cannot be read back",
    .group = SW_GROUP_PAPER,
    .write = write_picture,
};
