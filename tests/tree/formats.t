#!/bin/sh
# formats.def, the folders under formats/ and the build's list speak of the same formats.
. "$SW_SRCDIR/tests/lib/tap.sh"

formats=$SW_SRCDIR/formats

# equal NAME: passes when the files `one` and `other` are equal, else shows how they differ.
equal() {
  diff one other >out
  status=
  : >err
  check "$1" test ! -s out
}

sed -n 's/^SW_FORMAT(\([a-z0-9_]*\)).*/\1/p' "$formats/formats.def" | sort >listed
find "$formats" -mindepth 2 -name '*.c' -exec sed -n \
  's/^const sw_format swi_format_\([a-z0-9_]*\) = {.*/\1/p' {} + | sort >defined
cp listed one
cp defined other
equal 'each descriptor is in formats.def, and each line there has one'

uniq -d <listed >out
check 'no format is listed twice' test ! -s out

for folder in "$formats"/*/; do
  test -d "$folder" || continue
  grep -q '^const sw_format swi_format_' /dev/null "$folder"*.c || echo "$folder has no descriptor"
  test -f "$folder/README.md" || echo "$folder has no README.md"
done >out
check 'each folder has a descriptor and a README.md' test ! -s out

(cd "$SW_SRCDIR" && find formats -name '*.[ch]' -o -name '*.def') | sort >one
sed -n 's/^libswformats_la_SOURCES += \(formats\/.*\)/\1/p' "$SW_SRCDIR/Makefile.am" | sort >other
equal 'the build compiles each source of a format, and no other'

finish
