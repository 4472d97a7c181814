/* formats/sheet/size.c: the board true to size and enlarged, over several pages when one
 * is too small. */
#include "formats/sheet/flow.h"
#include "formats/sheet/pages.h"

#include <math.h>

static const double pitch = SW_PITCH_MM, foot = 8, label = 6;

/* Columns or strips that fit in a length; the first piece also has the edge names. */
static int holes_in(double mm, double scale) {
    int holes = (int)floor(mm / (pitch * scale) + 1e-9);
    return holes < 1 ? 1 : holes;
}

/* Where piece i of a side of `count` holes begins and ends, mm from the extent's start;
 * `before` is what the edge names take at each end. */
typedef struct piece {
    int first, last;    /* holes, from 0; last not included */
    double from, to;
} piece;

static piece piece_of(int i, int each, int count, double before, double whole) {
    piece p = {.first = i * each, .last = (i + 1) * each};
    if (p.last > count)
        p.last = count;
    p.from = i == 0 ? 0 : before + pitch * p.first;
    p.to = p.last == count ? whole : before + pitch * p.last;
    return p;
}

static int pieces_for(int count, double before, double after, double room, double scale, int *each) {
    if (scale * (before + after + pitch * count) <= room) {
        *each = count;
        return 1;
    }
    *each = holes_in(room - scale * fmax(before, after), scale);
    int pieces = (count + *each - 1) / *each;
    *each = (count + pieces - 1) / pieces; /* of nearly equal size */
    return (count + *each - 1) / *each;
}

static const char *piece_text(swi_scene *scene, const swi_sheet *sheet, bool copper, piece x, piece y,
                              bool whole) {
    if (whole)
        return "";
    int columns = sheet->subject->plan->columns;
    int a = copper ? columns - x.first : x.first + 1, b = copper ? columns - x.last + 1 : x.last;
    char from[8], to[8];
    sw_strip_write(y.first, from);
    sw_strip_write(y.last - 1, to);
    return swi_scene_format(scene, ", columns %d to %d, strips %s to %s", a, b, from, to);
}

/* 50 mm, a tick a millimetre. */
static void draw_ruler(swi_scene *scene, double x, double y) {
    sw_buf path = SW_BUF_INIT;
    swi_path_to(&path, 'M', x, y);
    swi_path_to(&path, 'L', x + 50, y);
    for (int i = 0; i <= 50; i++) {
        swi_path_to(&path, 'M', x + i, y);
        swi_path_to(&path, 'L', x + i, y - (i % 10 == 0 ? 4 : i % 5 == 0 ? 3 : 1.8));
    }
    swi_open(scene, &(swi_tags){.id = "ruler", .title = "A ruler of 50 mm"});
    swi_path(scene, "tick5", &path);
    for (int i = 0; i <= 50; i += 10)
        swi_text_at(scene, "", SWI_SANS, 2.2, SWI_MIDDLE, x + i, y + 2.6, swi_scene_format(scene, "%d", i));
    swi_close(scene);
    swi_text_at(scene, "", SWI_SANS, 2.4, SWI_START, x + 55, y - 1.2,
                 "This ruler must measure 50 mm: print at 100 %, not fitted to the page.");
    swi_text_at(scene, "", SWI_SANS, 2.4, SWI_START, x + 55, y + 2.4,
                 "Lay the copper side on the copper and prick the cuts through.");
}

static double paper_width(const swi_sheet *sheet, bool lying) {
    return lying ? sheet->height : sheet->width;
}

static double paper_height(const swi_sheet *sheet, bool lying) {
    return lying ? sheet->width : sheet->height;
}

typedef struct print {
    swi_sheet *sheet;
    bool copper, lying, ruler;
    double scale;
    const char *what;      /* heading of its pages */
    swi_scene *scene;
} print;

static double bottom_of(const print *p) {
    return paper_height(p->sheet, p->lying) - SWI_SHEET_MARGIN - foot - (p->ruler ? 9 : 0);
}

/* A page with room for so many mm more, the one at hand when it has. */
static bool make_room(print *p, double high) {
    if (p->scene && p->sheet->y + high <= bottom_of(p) + 0.01)
        return true;
    p->scene = swi_sheet_page(p->sheet, p->lying, p->what);
    if (p->scene && p->ruler)
        draw_ruler(p->scene, SWI_SHEET_MARGIN, bottom_of(p) + 7);
    return p->scene != NULL;
}

/* Edge names along the sides where a piece was cut off: mm from the board's edge. */
static void name_cut_sides(print *p, piece x, piece y, double left, double before_y) {
    const sw_plan *plan = p->sheet->subject->plan;
    double right = left + p->scale * (x.to - x.from), size = 1.45 * p->scale;
    for (int s = y.first; s < y.last; s++) {
        char name[8];
        sw_strip_write(s, name);
        swi_words words = {name, "", SWI_SANS, size, false};
        double at = p->sheet->y + label + p->scale * (before_y + pitch * (s + 0.5) - y.from);
        if (x.first > 0)
            swi_put_words(p->scene, "", &words, left - 1.5 * p->scale, at, 0);
        if (x.last < plan->columns)
            swi_put_words(p->scene, "", &words, right + 1.5 * p->scale, at, 0);
    }
}

static void print_piece(print *p, piece x, piece y, bool whole, double before_y) {
    swi_sheet *sheet = p->sheet;
    double high = label + p->scale * (y.to - y.from) + 4;
    if (!make_room(p, high))
        return;
    const char *side = p->copper ? "COPPER SIDE" : "COMPONENT SIDE";
    swi_text_at(p->scene, "", SWI_SANS_BOLD, 2.8, SWI_START, SWI_SHEET_MARGIN, sheet->y + 3,
                 swi_scene_format(p->scene, "%s, %s%s", side, swi_sheet_scale_text(p->scene, p->scale),
                                  piece_text(p->scene, sheet, p->copper, x, y, whole)));
    sw_box window = {x.from, y.from, x.to, y.to};
    const char *prefix = swi_scene_format(p->scene, "%s%d-%d-", p->copper ? "copper-" : "", x.first, y.first);
    double left = (paper_width(sheet, p->lying) - p->scale * (x.to - x.from)) / 2;
    swi_figure_into(p->scene, sheet->subject, &(swi_figure_options){.copper = p->copper, .prefix = prefix},
                    left, sheet->y + label, p->scale, whole ? NULL : &window, NULL);
    name_cut_sides(p, x, y, left, before_y);
    sheet->y += high;
}

static void print_side(print *p) {
    const sw_plan *plan = p->sheet->subject->plan;
    sw_box extent = swi_figure_extent(p->sheet->subject, p->copper);
    double before_x = -extent.x0 - pitch / 2, before_y = -extent.y0 - pitch / 2;
    double wide = extent.x1 - extent.x0, high = extent.y1 - extent.y0;
    double room_x = paper_width(p->sheet, p->lying) - 2 * SWI_SHEET_MARGIN - 4 * p->scale;
    double room_y = bottom_of(p) - SWI_SHEET_MARGIN - 18 - label - 4;
    int each_x, each_y;
    int nx = pieces_for(plan->columns, before_x, wide - before_x - pitch * plan->columns, room_x, p->scale, &each_x),
        ny = pieces_for(plan->strips, before_y, before_y, room_y, p->scale, &each_y);
    if (nx * ny > 1 && p->ruler && !p->copper && p->sheet->diags)
        sw_diag_add(p->sheet->diags, SW_D_SHEET_SPLIT, SW_NOWHERE,
                    "the board is larger than the paper: its true-size drawing is in %d pieces, to be "
                    "laid edge to edge midway between holes", nx * ny);
    for (int j = 0; j < ny; j++)
        for (int i = 0; i < nx && !p->sheet->failed; i++)
            print_piece(p, piece_of(i, each_x, plan->columns, before_x, wide),
                        piece_of(j, each_y, plan->strips, before_y, high), nx * ny == 1,
                        before_y);
}

static bool lies_better(const swi_sheet *sheet, double scale) {
    sw_box extent = swi_figure_extent(sheet->subject, false);
    return scale * (extent.x1 - extent.x0) > sheet->width - 2 * SWI_SHEET_MARGIN;
}

/* The list of nodes below the drawings, when there is room for all of it. */
static void add_nodes(print *p) {
    swi_sheet *sheet = p->sheet;
    swi_flow flow;
    if (!p->scene || !swi_flow_start(&flow)) {
        sheet->failed |= !p->scene;
        return;
    }
    int columns = p->lying ? 4 : 3;
    sw_box rest = {SWI_SHEET_MARGIN, sheet->y + 3, paper_width(sheet, p->lying) - SWI_SHEET_MARGIN, bottom_of(p)};
    swi_flow_nodes(&flow, sheet->subject, (rest.x1 - rest.x0 + 5) / columns - 5);
    if (swi_flow_fits(&flow, rest, columns))
        swi_flow_put(&flow, p->scene, rest, columns);
    sheet->failed |= flow.failed;
    swi_flow_end(&flow);
}

void swi_sheet_true_size(swi_sheet *sheet) {
    print p = {.sheet = sheet, .lying = lies_better(sheet, 1), .ruler = true, .scale = 1,
               .what = "true size, to lay on the board"};
    print_side(&p);
    p.copper = true;
    print_side(&p);
    add_nodes(&p);
}

/* The whole drawing with legend and title block on a page of its own. */
static void whole_drawing(swi_sheet *sheet, bool copper, bool lying, double scale, double width, double height) {
    swi_scene *scene = swi_sheet_page(sheet, lying, "enlarged, to read from");
    if (!scene)
        return;
    double x = (paper_width(sheet, lying) - scale * width) / 2, room = paper_height(sheet, lying) - foot - sheet->y;
    swi_figure_sheet_into(scene, sheet->subject, &(swi_figure_options){.copper = copper},
                          x, sheet->y + fmax(0, (room - SWI_SHEET_MARGIN - scale * height) / 3), scale, NULL);
}

void swi_sheet_enlarged(swi_sheet *sheet) {
    swi_scene *memory = sheet->count ? sheet->pages[0] : NULL;
    for (int copper = 0; copper < 2 && memory; copper++) {
        double width, height;
        swi_figure_sheet_size(memory, sheet->subject, copper, &width, &height);
        bool lying = width > height;
        double scale = fmin((paper_width(sheet, lying) - 2 * SWI_SHEET_MARGIN) / width,
                            (paper_height(sheet, lying) - SWI_SHEET_MARGIN - 16 - foot - SWI_SHEET_MARGIN) / height);
        if (scale >= 1.5) {
            whole_drawing(sheet, copper, lying, floor(scale * 20) / 20, width, height);
            continue;
        }
        print p = {.sheet = sheet, .copper = copper, .lying = true, .scale = 2, .what = "enlarged, to read from"};
        print_side(&p);
    }
}
