/* src/parts/data.h: the tables of src/parts/data as bytes inside the library. */
#ifndef SWI_DATA_H
#define SWI_DATA_H

#include <stddef.h>

typedef struct swi_data_file {
    const char *name;  /* without folders: "packages.csv" */
    const char *bytes; /* NUL-terminated; the NUL is not counted */
    size_t size;
} swi_data_file;

/* In the order of the Makefile's list; the last one has a NULL name. */
extern const swi_data_file swi_data_files[];

#endif
