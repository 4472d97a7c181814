/* What properties mean. */
#include "formats/edif/edif.h"

#include <string.h>

typedef struct meaning {
    const char *key;
    swi_edif_meaning meaning;
} meaning;

/* Names in use for each, the first is the one that we write. */
static const meaning meanings[] = {
    {"REFDES", SWI_M_REF}, {"REF", SWI_M_REF}, {"REFERENCE", SWI_M_REF},
    {"DESIGNATOR", SWI_M_REF}, {"PART_REFERENCE", SWI_M_REF},
    {"VALUE", SWI_M_VALUE}, {"VAL", SWI_M_VALUE}, {"PART_VALUE", SWI_M_VALUE},
    {"DEVICE", SWI_M_DEVICE}, {"PART_NUMBER", SWI_M_DEVICE}, {"PARTNO", SWI_M_DEVICE},
    {"PART_NAME", SWI_M_DEVICE}, {"MODEL", SWI_M_DEVICE},
    {"PACKAGE", SWI_M_PACKAGE}, {"FOOTPRINT", SWI_M_PACKAGE}, {"PCB_FOOTPRINT", SWI_M_PACKAGE},
    {"CASE", SWI_M_PACKAGE},
    {"GATE", SWI_M_GATE}, {"UNIT", SWI_M_GATE}, {"SECTION", SWI_M_GATE},
    {"KIND", SWI_M_KIND}, {"PATH", SWI_M_PATH}, {"FLAGS", SWI_M_FLAGS}, {"RAIL", SWI_M_RAIL},
    {"VOLTS", SWI_M_VOLTS}, {"GLOBAL", SWI_M_GLOBAL}, {"PINTYPE", SWI_M_PIN_TYPE},
    {"TITLE", SWI_M_TITLE},
};

/* What may be named with --map. */
static const meaning fields[] = {
    {"ref", SWI_M_REF}, {"value", SWI_M_VALUE}, {"device", SWI_M_DEVICE},
    {"package", SWI_M_PACKAGE}, {"gate", SWI_M_GATE}, {NULL, SWI_M_NOTHING}};

static swi_edif_meaning field_called(const char *text, size_t length) {
    const meaning *field = fields;
    while (field->key && !swi_equal_fold_n(text, length, field->key))
        field++;
    return field->meaning;
}

/* The field that the user maps this key to; *mapped tells by bit which fields have
 * a key of the user's, so that the usual ones do not count. */
static swi_edif_meaning user_meaning(const swi_edif *e, const char *key, unsigned *mapped,
                                     uint64_t *met) {
    swi_edif_meaning found = SWI_M_NOTHING;
    *mapped = 0;
    for (const char *const *map = e->options->map; map && *map; map++) {
        const char *equals = strchr(*map, '=');
        if (!equals)
            continue;
        swi_edif_meaning field = field_called(*map, (size_t)(equals - *map));
        *mapped |= 1u << field;
        if (swi_equal_fold(equals + 1, key)) {
            found = field;
            *met |= 1ull << (map - e->options->map) % 64;
        }
    }
    return found;
}

static swi_edif_meaning meaning_of(const swi_edif *e, const char *key, uint64_t *met) {
    unsigned mapped;
    swi_edif_meaning user = user_meaning(e, key, &mapped, met);
    if (user != SWI_M_NOTHING)
        return user;
    for (size_t i = 0; i < sizeof meanings / sizeof *meanings; i++)
        if (swi_upper(*key) == *meanings[i].key && swi_equal_fold(key, meanings[i].key))
            return mapped & 1u << meanings[i].meaning ? SWI_M_NOTHING : meanings[i].meaning;
    return SWI_M_NOTHING;
}

swi_edif_meaning swi_edif_meaning_of(swi_edif *e, const char *key) {
    return meaning_of(e, key, &e->map_met);
}

void swi_edif_tell_map(swi_edif *e) {
    for (const char *const *map = e->options->map; map && *map; map++)
        if (!(e->map_met >> (map - e->options->map) % 64 & 1))
            sw_diag_add(e->diags, SW_D_EDIF_MAP_UNUSED, SW_NOWHERE,
                        "no property is called %s in this file, so --map %s has no effect: correct the "
                        "name", strchr(*map, '=') + 1, *map);
}

bool swi_edif_check_map(swi_edif *e) {
    for (const char *const *map = e->options->map; map && *map; map++) {
        const char *equals = strchr(*map, '=');
        if (equals && field_called(*map, (size_t)(equals - *map)) != SWI_M_NOTHING)
            continue;
        sw_diag_add(e->diags, SW_D_EDIF_MAP, SW_NOWHERE,
                    "%s is no map of a property: write ref=, value=, device=, package= or gate= and "
                    "the property's name", *map);
        return false;
    }
    return true;
}

const char *swi_edif_said(const swi_edif *e, uint32_t list, swi_edif_meaning wanted) {
    for (; list != SWI_EDIF_NONE; list = e->properties[list].next)
        if (e->properties[list].meaning == wanted)
            return e->properties[list].value;
    return NULL;
}

/* Which meanings an owner has fields for. */
static bool has_field(sw_owner owner, swi_edif_meaning m) {
    switch (owner) {
    case SW_OWNER_CIRCUIT: return m == SWI_M_TITLE;
    case SW_OWNER_PART: return m <= SWI_M_FLAGS;
    case SW_OWNER_PIN: return m == SWI_M_PIN_TYPE;
    case SW_OWNER_NODE: return m == SWI_M_RAIL || m == SWI_M_VOLTS || m == SWI_M_GLOBAL;
    }
    return false;
}

bool swi_edif_is_field(const swi_edif *e, sw_owner owner, const char *key) {
    uint64_t met = 0;
    return has_field(owner, meaning_of(e, key, &met));
}

static void keep_also(swi_edif *e, const swi_edif_property *property, const char *what,
                      const char *value, sw_owner owner, uint32_t index) {
    sw_buf key = SW_BUF_INIT;
    sw_buf_printf(&key, "%s %s", property->key, what);
    if (key.failed)
        swi_edif_out(e);
    else
        sw_builder_property(e->builder, owner, index, key.bytes, value,
                            swi_edif_at(e, property->offset, 1));
    sw_buf_free(&key);
}

static bool says(const swi_edif *e, uint32_t list, const char *key) {
    for (; list != SWI_EDIF_NONE; list = e->properties[list].next)
        if (swi_equal_fold(e->properties[list].key, key))
            return true;
    return false;
}

void swi_edif_inherit(swi_edif *e, uint32_t list, uint32_t nearer, uint32_t nearest,
                      sw_owner owner, uint32_t index) {
    for (; list != SWI_EDIF_NONE; list = e->properties[list].next) {
        const swi_edif_property *property = &e->properties[list];
        if (has_field(owner, property->meaning) || says(e, nearer, property->key) ||
            says(e, nearest, property->key))
            continue;
        sw_builder_property(e->builder, owner, index, property->key, property->value,
                            swi_edif_at(e, property->offset, 1));
        if (*property->unit)
            keep_also(e, property, "unit", property->unit, owner, index);
        if (*property->owner)
            keep_also(e, property, "owner", property->owner, owner, index);
    }
}

void swi_edif_keep(swi_edif *e, uint32_t list, sw_owner owner, uint32_t index) {
    swi_edif_inherit(e, list, SWI_EDIF_NONE, SWI_EDIF_NONE, owner, index);
}
