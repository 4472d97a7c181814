/* Pins as people write them in a list: U1.3, U1-3, U1(3). */
#include "formats/csv/csv.h"

#include <string.h>

int swi_csv_split_pin(const char *text, size_t length, swi_reading out[SWI_MOST_READINGS]) {
    int count = 0;
    bool closed = length > 1 && text[length - 1] == ')';
    for (size_t i = 1; i + 1 < length && count < SWI_MOST_READINGS; i++) {
        if (text[i] == '.' || text[i] == '-')
            out[count++] = (swi_reading){i, i + 1, length - i - 1};
        else if (text[i] == '(' && closed && i + 2 < length)
            out[count++] = (swi_reading){i, i + 1, length - i - 2};
    }
    return count;
}
