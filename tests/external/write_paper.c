/* write_paper FILE [SEED STRIPS COLUMNS [SCALE]]: writes a paper of the hand-made plan, or of one
 * thrown together; the file's ending tells which paper.
 * write_paper --broken: tries a picture of a drawing that is no XML. */
#include "papers/render.h"
#include "tests/lib/plans.h"
#include <stripwright/format.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void show(const sw_diags *diags) {
    sw_buf text = SW_BUF_INIT;
    sw_diags_show(diags, &text);
    if (text.length)
        fputs(text.bytes, stderr);
    sw_buf_free(&text);
}

static int draw_broken(void) {
    sw_diags *diags = sw_diags_new(NULL);
    swi_scene *scene = swi_scene_new(10, 10);
    sw_buf out = SW_BUF_INIT;
    scene->title = "\x01";
    sw_status status = swi_render_png(scene, 1, diags, &out);
    show(diags);
    sw_buf_free(&out);
    swi_scene_free(scene);
    sw_diags_free(diags);
    return (int)status;
}

int main(int argc, char **argv) {
    if (argc == 2 && strcmp(argv[1], "--broken") == 0)
        return draw_broken();
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    if (argc != 2 && argc != 5 && argc != 6)
        return 2;
    sw_plan *plan = argc >= 5 ? test_plan_random((uint32_t)atoi(argv[2]), atoi(argv[3]), atoi(argv[4]), 50, library)
                              : test_plan_frost();
    sw_document document = {.plan = plan, .library = library, .date = "2026-11-25", .revision = "A"};
    sw_write_options options = {.path = argv[1], .scale = argc == 6 ? atoi(argv[5]) : 0};
    const sw_format *format = sw_format_for_path(argv[1]);
    sw_buf out = SW_BUF_INIT;
    sw_status status = format ? sw_write(format, &document, &options, diags, &out) : SW_USAGE;
    if (status == SW_OK)
        status = sw_output_write(diags, argv[1], out.bytes, out.length);
    show(diags);
    sw_buf_free(&out);
    sw_plan_free(plan);
    sw_library_free(library);
    sw_diags_free(diags);
    return (int)status;
}
