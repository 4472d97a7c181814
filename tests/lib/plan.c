/* tests/lib/plan.c: fitted circuits and plans for tests. */
#include "plan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "circuit.h"

/*    1  2  3  4  5  6  7  8  9 10 11 12 13 14 15 16 17 18 19 20
 * A  P1    R1 R3                      :                      R5    VCC
 * D     R4               U1  x     U1 :                            OUT | VCC
 * E        R1    R2      U1  x     U1                              REF | lone
 * F           R3    RT   U1  x     U1    :     x        D1   R5    SENSE | 0 | LEDA
 * G                   :  U1        U1    :     x  Q1    D1         0 | LAMP
 * H     R4                                        Q1               BASE
 * I  P2          R2 RT:                           Q1               0           */
const char test_frost_circuit[] =
    "D1 D frost - LED-3 1=LEDA 2=LAMP\n"
    "P1 N - - PIN-1 1=VCC\n"
    "P2 N - - PIN-1 1=0\n"
    "Q1 Q BC547 - TO-92 1=LAMP 2=BASE 3=0\n"
    "R1 R 10k - RES-0.25W 1=VCC 2=REF\n"
    "R2 R 4k7 - RES-0.25W 1=REF 2=0\n"
    "R3 R 10k - RES-0.25W 1=VCC 2=SENSE\n"
    "R4 R 4k7 - RES-0.25W 1=OUT 2=BASE\n"
    "R5 R 470 - RES-0.25W 1=VCC 2=LEDA\n"
    "RT1 R 10k - RES-0.25W 1=SENSE 2=0\n"
    "U1 X - LM393 DIP-8 1=OUT 2=REF 3=SENSE 4=0 5=0 6=0 7=~ 8=VCC\n";

const char test_frost_plan[] =
    "board I20\n"
    "P1 A1\n"
    "P2 I1\n"
    "R1 A3 E3\n"
    "R2 E5 I5\n"
    "R3 A4 F4\n"
    "R4 D2 H2\n"
    "R5 A20 F20\n"
    "RT1 F6 I6\n"
    "D1 F18 G18\n"
    "Q1 G16 H16 I16\n"
    "U1 D8 E8 F8 G8 G11 F11 E11 D11\n"
    "cut D9\ncut E9\ncut F9\ncut F15\ncut G15\n"
    "link G7 I7\nlink A12 D12\nlink F13 G13\n";

/*    1  2  3  4  5  6  7  8  9 10 11 12
 * A  P1    R1                      C1    VCC
 * B                                C1  : 0
 * C           :  S1       S1           : IN
 * D        R1 :                        : IN
 * E  P2          S1       S1           : 0      */
const char test_counter_circuit[] =
    "C1 C 100n - CAP-DISC-2.5 1=VCC 2=0\n"
    "P1 N - - PIN-1 1=VCC\n"
    "P2 N - - PIN-1 1=0\n"
    "R1 R 100k - RES-0.25W 1=VCC 2=IN\n"
    "S1 S - - BUTTON-6 1=IN 2=IN 3=0 4=~\n";

const char test_counter_plan[] =
    "board E12\n"
    "P1 A1\n"
    "P2 E1\n"
    "C1 A11 B11\n"
    "R1 A3 D3\n"
    "S1 C5 C8 E5 E8\n"
    "link C4 D4\n"
    "link B12 E12\n";

sw_hole test_hole(const char *name) {
    sw_hole hole;
    if (sw_hole_read(name, &hole) != strlen(name))
        abort(); /* a test spelled a hole wrongly */
    return hole;
}

sw_circuit *test_fitted(const sw_library *library, const char *text) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *circuit = test_circuit(diags, SW_STAGE_FITTED, text);
    for (uint32_t i = 0; circuit != NULL && i < circuit->part_count; i++) {
        circuit->parts[i].form = sw_library_package(library, circuit->parts[i].package);
        circuit->parts[i].terminal = circuit->parts[i].kind == 'N';
    }
    if (circuit != NULL && sw_circuit_number(circuit, diags) != SW_OK)
        abort();
    sw_diags_free(diags);
    return circuit;
}

static void one_part(sw_plan *plan, const char *name, char *rest) {
    char ref[64], package[64] = "", pin[16];
    int turn = -1, number = 1;
    snprintf(ref, sizeof ref, "%s", name);
    char *mark = strpbrk(ref, "@=");
    if (mark != NULL) {
        if (*mark == '@')
            turn = atoi(mark + 1);
        else
            snprintf(package, sizeof package, "%s", mark + 1);
        *mark = '\0';
    }
    sw_plan_add_part(plan, (sw_plan_part){.ref = sw_plan_text(plan, ref), .turn = (int16_t)turn,
                                          .package = sw_plan_text(plan, package)});
    for (char *hole = strtok(rest, " "); hole != NULL; hole = strtok(NULL, " "), number++) {
        if (strcmp(hole, "-") == 0)
            continue;
        snprintf(pin, sizeof pin, "%d", number);
        sw_plan_add_lead(plan, (sw_plan_lead){.pin = sw_plan_text(plan, pin),
                                              .hole = test_hole(hole)});
    }
}

static void one_line(sw_plan *plan, char *line) {
    char *word = strtok(line, " "), *rest = strtok(NULL, "");
    if (word == NULL || rest == NULL)
        return;
    char a[16] = "", b[16] = "", why[32] = "";
    if (strcmp(word, "board") != 0 && strchr("cakml", word[0]) != NULL)
        sscanf(rest, "%15s %15s %31s", a, b, why);
    if (strcmp(word, "board") == 0) {
        sw_hole last = test_hole(rest);
        plan->strips = (int16_t)(last.strip + 1);
        plan->columns = (int16_t)(last.column + 1);
    } else if (strcmp(word, "margin") == 0) {
        plan->margin = (int16_t)atoi(a);
    } else if (strcmp(word, "cut") == 0 || strcmp(word, "knife") == 0 ||
               strcmp(word, "asked") == 0) {
        sw_plan_add_cut(plan, (sw_cut){.hole = test_hole(a), .knife = word[0] == 'k',
                                       .asked = word[0] == 'a'});
    } else if (strcmp(word, "link") == 0) {
        sw_plan_add_link(plan, (sw_link){.from = test_hole(a), .to = test_hole(b)});
    } else if (strcmp(word, "keep") == 0) {
        sw_plan_add_keep_out(plan, (sw_keep_out){test_hole(a), test_hole(b),
                                                 sw_plan_text(plan, why), SW_NOWHERE});
    } else {
        one_part(plan, word, rest);
    }
}

sw_plan *test_plan_bare(const char *text) {
    sw_plan *plan = sw_plan_new();
    while (*text != '\0') {
        size_t length = strcspn(text, "\n");
        char line[256];
        snprintf(line, sizeof line, "%.*s", (int)length, text);
        one_line(plan, line);
        text += length + (text[length] == '\n');
    }
    return plan;
}

sw_plan *test_plan(const sw_circuit *fitted, const sw_library *library, const char *text) {
    sw_plan *plan = test_plan_bare(text);
    sw_plan_complete(plan, fitted, library);
    return plan;
}

/* A word of the circuit or plan as alarm number `k` has it: references and nodes get the
 * number, rails stay common, holes move to the right. */
static void put_word(sw_buf *out, const char *word, bool first, int k) {
    char name[12];
    sw_hole hole;
    const char *node = strchr(word, '=');
    bool thing = strcmp(word, "cut") == 0 || strcmp(word, "link") == 0;
    sw_buf_puts(out, first ? "" : " ");
    if (first && !thing) {
        sw_buf_printf(out, "%sx%d", word, k);
    } else if (!first && node == NULL && sw_hole_read(word, &hole) == strlen(word)) {
        hole.column = (int16_t)(hole.column + 21 * k);
        sw_hole_write(hole, name);
        sw_buf_puts(out, name);
    } else if (node != NULL && strcmp(node, "=VCC") != 0 && strcmp(node, "=0") != 0 &&
               strcmp(node, "=~") != 0) {
        sw_buf_printf(out, "%s_%d", word, k);
    } else {
        sw_buf_puts(out, word);
    }
}

static void put_lines(sw_buf *out, const char *text, int k, bool holes) {
    while (*text != '\0') {
        char line[256], word[64];
        int used, at = 0;
        size_t length = strcspn(text, "\n");
        snprintf(line, sizeof line, "%.*s", (int)length, text);
        text += length + 1;
        if (strncmp(line, "board", 5) == 0)
            continue;
        for (int i = 0; sscanf(line + at, " %63s%n", word, &used) == 1; i++, at += used) {
            if (holes || i == 0 || strchr(word, '=') != NULL)
                put_word(out, word, i == 0, k);
            else
                sw_buf_printf(out, " %s", word);
        }
        sw_buf_puts(out, "\n");
    }
}

void test_frost_row(int count, sw_buf *circuit, sw_buf *plan) {
    char name[12];
    sw_hole_write((sw_hole){8, (int16_t)(21 * count - 1)}, name);
    sw_buf_printf(plan, "board %s\n", name);
    for (int k = 0; k < count; k++) {
        put_lines(circuit, test_frost_circuit, k, false);
        put_lines(plan, test_frost_plan, k, true);
        for (int16_t strip = 3; k + 1 < count && strip <= 7; strip++) {
            sw_hole_write((sw_hole){strip, (int16_t)(21 * k + 20)}, name);
            sw_buf_printf(plan, "cut %s\n", name);
        }
    }
}
