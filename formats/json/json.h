/* formats/json/json.h: what the files of this format share. */
#ifndef SWI_JSON_H
#define SWI_JSON_H

#include <json-c/json.h>

#include <stripwright/format.h>

/* `failed` is sticky: memory is out.  Values that are made go straight into the
 * object or array that keeps them. */
typedef struct swi_json {
    const sw_document *document;
    bool failed;
    unsigned replaced; /* texts that were not UTF-8 */
} swi_json;

/* An object or array, put under key of an object, or at an array's end (key NULL). */
json_object *swi_json_object(swi_json *j, json_object *in, const char *key);
json_object *swi_json_array(swi_json *j, json_object *in, const char *key);
void swi_json_text(swi_json *j, json_object *in, const char *key, const char *text);
void swi_json_text_if(swi_json *j, json_object *in, const char *key, const char *text);
void swi_json_whole(swi_json *j, json_object *in, const char *key, int64_t value);
void swi_json_real(swi_json *j, json_object *in, const char *key, double value, int decimals);
void swi_json_flag(swi_json *j, json_object *in, const char *key, bool value);
/* Only when it is set. */
void swi_json_flag_if(swi_json *j, json_object *in, const char *key, bool value);
/* "positive" …, left out for none. */
void swi_json_rail(swi_json *j, json_object *in, sw_rail rail);
void swi_json_hole(swi_json *j, json_object *in, const char *key, sw_hole hole);

void swi_json_circuit(swi_json *j, json_object *root);
void swi_json_plan(swi_json *j, json_object *root);

#endif
