/* Bytes that a coverage-guided fuzzer makes (libFuzzer, of clang) through the whole pipeline.
 * Not part of check; DEVELOPERS.md says how to build and run it.  The first byte chooses the
 * ending of the file's name.
 */
#include <stdint.h>

#include "tests/lib/pipeline.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    static const char *const names[] = {"made.cir", "made.edf", "made.csv", "made.sched", "made.xml"};
    if (length > 0)
        test_pipeline_file(names[bytes[0] % 5], (const char *)bytes + 1, length - 1);
    return 0;
}
