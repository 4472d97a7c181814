/* tests/bench/bench_edif.c: how fast EDIF is read, from opening the file to the circuit,
 * beside a plain scan of the same file through the same input layer (measure.h).
 *
 *     bench_edif [instances]
 *
 * The netlist is made up: a shift register of that many flip-flops and resistors, in
 * the shape that logic compilers write.
 */
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "measure.h"

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

static void *read_edif(const sw_input *input, sw_diags *diags) {
    sw_circuit *circuit;
    sw_read_circuit(sw_format_find("edif"), input, NULL, diags, &circuit);
    return circuit;
}

static void release(void *made) {
    sw_circuit_free(made);
}

int main(int count, char **words) {
    unsigned instances = count > 1 ? (unsigned)strtoul(words[1], NULL, 10) : 50000;
    char path[64];
    static const bench_job job = {read_edif, release};
    bench_speed speed;
    sw_buf text = SW_BUF_INIT;
    make(&text, instances);
    bool done = bench_write(&text, path);
    sw_buf_free(&text);
    done = done && bench_measure(path, &job, &speed);
    if (done) {
        printf("%.1f MB, %u parts, %zu brackets\n", speed.megabytes, 2 * instances,
               speed.brackets);
        bench_show("EDIF", &speed);
    }
    unlink(path);
    return done ? 0 : 1;
}
