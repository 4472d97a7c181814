#!/bin/sh
# Papers as other programs see them: the drawing is valid XML and renders, the print
# sheet has the paper's size, is true to size and keeps its text, the same plan gives the
# same bytes.
. "$SW_SRCDIR/tests/lib/tap.sh"
need xmllint rsvg-convert pdfinfo pdftotext pdftoppm od

write_paper() {
  "$SW_BUILDDIR/tests/external/write_paper" "$@"
}

# near GOT WANTED WITHIN
near() {
  awk -v a="$1" -v b="$2" -v d="$3" 'BEGIN { e = a - b; exit !(a != "" && e <= d && -e <= d) }' && return 0
  echo "# got: $1, wanted: $2 within $3"
  return 1
}

# --- Drawing ---------------------------------------------------------------
run write_paper frost.svg
check 'a drawing is written' status_is 0
run xmllint --noout frost.svg
check 'it is well-formed' status_is 0
count() { xmllint --xpath "count($1)" "$2"; }
svg="*[local-name()='svg']"
check 'it is an image with title and description' same \
  "$(count "/$svg[@role='img'][*[local-name()='title']][*[local-name()='desc']]" frost.svg)" 1
# 39 leads on the component side, each with a title and its hole; as many on the copper.
leads="//*[@class='lead'][@data-hole][@data-node][*[local-name()='title']]"
check 'each lead is named and knows its node' same "$(count "$leads" frost.svg)" 78
check 'cuts of both sides know their holes' same "$(count "//*[@class='cut'][@data-hole]" frost.svg)" 12
for seed in 1 2; do
  run write_paper many.svg $seed 24 60
  run rsvg-convert -o many.png many.svg
  check "a large drawing renders ($seed)" status_is 0
done

# --- Pages -----------------------------------------------------------------
# tests/lib/page.c looks closer at the guide and the list of parts.
stripwright workpack "$SW_SRCDIR/examples/frost-alarm/frost-alarm.cir" --effort quick -d pack >out 2>err
for page in index.html frost-alarm.html frost-alarm.parts.html; do
  run xmllint --noout "pack/$page"
  check "$page is well-formed" status_is 0
done

# --- Picture ---------------------------------------------------------------
run write_paper frost.png
check 'a picture is written' status_is 0
cp frost.png before.png
run write_paper frost.png
check 'the same plan gives the same picture' cmp -s frost.png before.png
run write_paper huge.png 1 2 500 6
check 'a picture too large is made smaller, and says so' has err picture-scaled

run write_paper --broken
check 'a drawing that cannot be drawn is status 5' status_is 5
check 'and says so' has err picture-failed

# --- Print sheet -----------------------------------------------------------
run write_paper frost.pdf
check 'a print sheet is written' status_is 0
cp frost.pdf before.pdf
run write_paper frost.pdf
check 'the same plan gives the same sheet' cmp -s frost.pdf before.pdf
pdfinfo frost.pdf >info
# ISO 216: A4 is 210 by 297 mm; 72 points an inch.
set -- $(sed -n 's/^Page size: *\([0-9.]*\) x \([0-9.]*\) pts.*/\1 \2/p' info)
check 'its pages are A4 wide' near "$1" 595.28 0.1
check 'and A4 high' near "$2" 841.89 0.1
check 'no clock went in' has info 'Nov 25 '

pdftotext -bbox -f 2 -l 2 frost.pdf words
# centre WORD N AXIS: middle of the N-th such word on the page, points.
centre() {
  awk -F'"' -v word=">$1<" -v n="$2" -v axis="$3" \
    'index($0, word) && ++k == n { print axis == "x" ? ($2 + $6) / 2 : ($4 + $8) / 2 }' words
}
# Numbers of the columns: 10 and 15 are five pitches apart.
pitches=$(awk -v a="$(centre 10 1 x)" -v b="$(centre 15 1 x)" 'BEGIN { print (b - a) / 5 / 72 * 25.4 }')
check 'columns are 2.54 mm apart' near "$pitches" 2.54 0.05

# 508 dots an inch are 20 a millimetre.  The longest black line of some rows of dots:
longest() { # longest X Y WIDTH HEIGHT, mm
  pdftoppm -r 508 -gray -f 2 -l 2 -x $(($1 * 20)) -y $(($2 * 20)) -W $(($3 * 20)) -H $(($4 * 20)) frost.pdf |
    od -An -v -tu1 -w$(($3 * 20)) -j $(printf 'P5\n%d %d\n255\n' $(($3 * 20)) $(($4 * 20)) | wc -c) |
    awk '{ run = 0; for (i = 1; i <= NF; i++) { run = $i < 128 ? run + 1 : 0; if (run > most) most = run } }
         END { print most / 20 }'
}
# 50 mm and the ticks' own width at both ends, 0.1 mm each.
check 'the ruler is 50 mm long' near "$(longest 5 272 80 10)" 50.2 0.15
# 19 columns of 2.54 mm and the edge's line, 0.3 mm.
check 'the board is true to size' near "$(longest 60 30 100 8)" 48.56 0.15

pdftotext frost.pdf text
check 'text stays text' has text 'Frost alarm for the lower greenhouse'
check 'node names are in it' has text 'sense'

run write_paper large.pdf 1 12 130
check 'a large board is split over pages, and it says so' has err sheet-split

finish
