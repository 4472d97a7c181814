/* src/papers/svg.h: a scene as SVG, alone or inside a page. */
#ifndef SWI_SVG_H
#define SWI_SVG_H

#include "scene.h"

typedef struct swi_svg_options {
    bool part_of_page;  /* no XML declaration and no style: a page has swi_svg_style once */
    double scale;       /* of width and height; 0: 1 */
    const char *extra;  /* CSS to add, or NULL */
} swi_svg_options;

/* Appends the drawing; options NULL: a file of its own.  SW_SYSTEM when memory is out. */
sw_status swi_svg_write(const swi_scene *scene, const swi_svg_options *options, sw_buf *out);

/* Every style and every symbol of the drawings, as CSS and as <defs> content. */
void swi_svg_style(sw_buf *out);
/* On screen: what belongs to a node lights up under the pointer, for nodes 1 … most. */
void swi_svg_hover_style(sw_buf *out, uint32_t node_most);
extern const char swi_svg_symbols[];

#endif
