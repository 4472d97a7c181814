/* tests/bench/bench_edif.c: how fast EDIF is read, beside a plain scan of the same
 * bytes through the same input layer.
 *
 *     bench_edif [instances]
 *
 * The netlist is made up: a shift register of that many flip-flops and resistors, in
 * the shape that logic compilers write.
 */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <stripwright/format.h>

/* Time of the processor, not of the clock on the wall: other work does not count. */
static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void put_instance(sw_buf *b, unsigned i) {
    sw_buf_printf(b, "          (instance (rename FF_%u \"FF[%u]\")\n"
                     "            (viewRef VIEW_NETLIST (cellRef DFF (libraryRef LIB)))\n"
                     "            (property INIT (string \"0\")))\n"
                     "          (instance R%u\n"
                     "            (viewRef VIEW_NETLIST (cellRef RES (libraryRef LIB)))\n"
                     "            (property VALUE (string \"4k7\")))\n", i, i, i);
}

static void put_net(sw_buf *b, unsigned i) {
    sw_buf_printf(b, "          (net (rename Q_%u \"Q[%u]\") (joined\n"
                     "              (portRef Q (instanceRef FF_%u))\n"
                     "              (portRef D (instanceRef FF_%u))\n"
                     "              (portRef &1 (instanceRef R%u))\n"
                     "            )\n          )\n", i, i, i, i + 1, i);
}

static void make(sw_buf *b, unsigned count) {
    sw_buf_puts(b, "(edif bench (edifVersion 2 0 0) (edifLevel 0)\n"
                   "  (keywordMap (keywordLevel 0))\n  (external LIB (edifLevel 0)\n"
                   "    (technology (numberDefinition))\n"
                   "    (cell DFF (cellType GENERIC) (view VIEW_NETLIST (viewType NETLIST)\n"
                   "      (interface (port D (direction INPUT)) (port Q (direction OUTPUT)))))\n"
                   "    (cell RES (cellType GENERIC) (view VIEW_NETLIST (viewType NETLIST)\n"
                   "      (interface (port &1) (port &2)))))\n  (library DESIGN (edifLevel 0)\n"
                   "    (technology (numberDefinition))\n    (cell top (cellType GENERIC)\n"
                   "      (view VIEW_NETLIST (viewType NETLIST) (interface) (contents\n");
    for (unsigned i = 0; i < count; i++)
        put_instance(b, i);
    for (unsigned i = 0; i + 1 < count; i++)
        put_net(b, i);
    sw_buf_puts(b, "))))\n  (design bench (cellRef top (libraryRef DESIGN))))\n");
}

/* The least that any reader does: look at each byte once. */
static size_t scan(const sw_input *input) {
    size_t parentheses = 0;
    bool quoted = false;
    for (size_t i = 0; i < input->length; i++) {
        char c = input->bytes[i];
        quoted ^= c == '"';
        parentheses += !quoted && (c == '(' || c == ')');
    }
    return parentheses;
}

static int run(const sw_buf *text) {
    double mb = (double)text->length / 1e6, best_scan = 1e9, best_read = 1e9;
    size_t parentheses = 0;
    unsigned parts = 0;
    for (int round = 0; round < 3; round++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        sw_circuit *circuit = NULL;
        double start = now();
        if (sw_input_text(diags, "bench.edf", text->bytes, text->length, &input) != SW_OK)
            return 1;
        double taken = now() - start;
        start = now();
        parentheses = scan(&input);
        double scanned = now() - start + taken;
        start = now();
        if (sw_read_circuit(sw_format_find("edif"), &input, NULL, diags, &circuit) != SW_OK)
            return 1;
        double read = now() - start + taken;
        parts = circuit->part_count;
        best_scan = scanned < best_scan ? scanned : best_scan;
        best_read = read < best_read ? read : best_read;
        sw_circuit_free(circuit);
        sw_diags_free(diags);
    }
    printf("%.1f MB, %u parts, %zu parentheses\n", mb, parts, parentheses);
    printf("scan %.0f MB/s, EDIF %.0f MB/s, ratio %.1f\n", mb / best_scan, mb / best_read,
           best_read / best_scan);
    return 0;
}

int main(int count, char **words) {
    unsigned instances = count > 1 ? (unsigned)strtoul(words[1], NULL, 10) : 50000;
    sw_buf text = SW_BUF_INIT;
    make(&text, instances);
    int result = text.failed || run(&text);
    sw_buf_free(&text);
    return result;
}
