/* src/papers/render.c: scenes as PDF and PNG. */
#include "config.h"

#include "render.h"

#include "base/fault.h"
#include "svg.h"

#include <string.h>

#ifdef HAVE_RSVG

#include <cairo-pdf.h>
#include <librsvg/rsvg.h>

static sw_status failed(sw_diags *diags, const char *why) {
    sw_diag_add(diags, SW_D_PICTURE_FAILED, SW_NOWHERE,
                "the drawing could not be made into a picture (%s); the .svg drawing holds the same", why);
    return SW_SYSTEM;
}

/* Draws a scene so that it fills width × height units of the context. */
static sw_status draw(const swi_scene *scene, cairo_t *context, double width, double height,
                      sw_diags *diags) {
    sw_buf svg = SW_BUF_INIT;
    if (swi_svg_write(scene, NULL, &svg) != SW_OK) {
        sw_buf_free(&svg);
        return swi_out_of_memory(diags);
    }
    GError *error = NULL;
    RsvgHandle *handle = rsvg_handle_new_from_data((const guint8 *)svg.bytes, svg.length, &error);
    sw_status status = SW_OK;
    RsvgRectangle page = {0, 0, width, height};
    if (!handle || !rsvg_handle_render_document(handle, context, &page, &error))
        status = failed(diags, error ? error->message : "no reason given");
    g_clear_error(&error);
    if (handle)
        g_object_unref(handle);
    sw_buf_free(&svg);
    return status;
}

static cairo_status_t take(void *user, const unsigned char *bytes, unsigned length) {
    sw_buf *out = user;
    sw_buf_put(out, (const char *)bytes, length);
    return out->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static const double points = 72 / 25.4; /* PDF's units a mm */

/* cairo would put the time of day in. */
static void set_metadata(cairo_surface_t *surface, const char *title, const char *made_by, const char *date) {
    char when[32] = "2000-01-01T00:00:00Z";
    if (strlen(date) == 10 && date[4] == '-' && date[7] == '-')
        memcpy(when, date, 10);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, when);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, when);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, made_by);
}

sw_status swi_render_pdf(const swi_scene *const *pages, size_t count, const char *title,
                         const char *made_by, const char *date, sw_diags *diags, sw_buf *out) {
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(take, out, 100, 100);
    set_metadata(surface, title, made_by, date);
    cairo_t *context = cairo_create(surface);
    sw_status status = SW_OK;
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        double width = pages[i]->width * points, height = pages[i]->height * points;
        cairo_pdf_surface_set_size(surface, width, height);
        status = draw(pages[i], context, width, height, diags);
        cairo_show_page(context);
    }
    cairo_destroy(context);
    cairo_surface_finish(surface);
    cairo_status_t state = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status == SW_OK && state != CAIRO_STATUS_SUCCESS)
        status = failed(diags, cairo_status_to_string(state));
    return status;
}

sw_status swi_render_png(const swi_scene *scene, double scale, sw_diags *diags, sw_buf *out) {
    const double most = 16000;
    double longest = scene->width > scene->height ? scene->width : scene->height;
    if (longest * scale > most) {
        scale = most / longest;
        sw_diag_add(diags, SW_D_PICTURE_SCALED, SW_NOWHERE,
                    "the picture was made smaller than asked for: it would have had more than 16000 "
                    "pixels a side");
    }
    int width = (int)(scene->width * scale + 0.5), height = (int)(scene->height * scale + 0.5);
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
    cairo_t *context = cairo_create(surface);
    cairo_set_source_rgb(context, 1, 1, 1);
    cairo_paint(context);
    sw_status status = draw(scene, context, width, height, diags);
    cairo_destroy(context);
    if (status == SW_OK) {
        cairo_status_t state = cairo_surface_write_to_png_stream(surface, take, out);
        if (state != CAIRO_STATUS_SUCCESS)
            status = failed(diags, cairo_status_to_string(state));
    }
    cairo_surface_destroy(surface);
    return status;
}

#else

static sw_status unsupported(sw_diags *diags) {
    sw_diag_add(diags, SW_D_PICTURE_UNSUPPORTED, SW_NOWHERE,
                "PDF and PNG were left out of this build, for librsvg was not there; write the .svg "
                "drawing, or build again with librsvg");
    return SW_USAGE;
}

sw_status swi_render_pdf(const swi_scene *const *pages, size_t count, const char *title,
                         const char *made_by, const char *date, sw_diags *diags, sw_buf *out) {
    (void)pages, (void)count, (void)title, (void)made_by, (void)date, (void)out;
    return unsupported(diags);
}

sw_status swi_render_png(const swi_scene *scene, double scale, sw_diags *diags, sw_buf *out) {
    (void)scene, (void)scale, (void)out;
    return unsupported(diags);
}

#endif
