#!/bin/sh
# The build guide used in a real browser: see guide.py.
. "$SW_SRCDIR/tests/lib/tap.sh"
need chromium chromedriver python3 pdfinfo pdftotext

python=python3
$python -c 'import selenium' 2>/dev/null || python=/usr/bin/python3
run $python -c 'import selenium'
if test "$status" != 0; then
  not_ok 'needs the Python module selenium: ./bootstrap check installs it'
  finish
fi

# It has an IC, a transistor, an LED, a preset, links, cuts and wires.
run stripwright workpack "$SW_SRCDIR/examples/frost-alarm/frost-alarm.cir" -d pack --effort quick
check 'a guide is written with the other papers' test -s pack/frost-alarm.html

# Names that would end the script or begin an element, if they could.
cat >hostile.csv <<'CSV'
ref,pin,node,value,device,package
"R1","1","</script><b id=broken>","<img src=x onerror=alert(1)>",,RES-0.25W
"R1","2","a""'&","<img src=x onerror=alert(1)>",,RES-0.25W
"R2","1","</script><b id=broken>","1k",,RES-0.25W
"R2","2","a""'&","1k",,RES-0.25W
CSV
run stripwright plan hostile.csv -o hostile.html --effort quick
check 'a guide is written of a circuit with hostile names' test -s hostile.html

# A board wider than any screen.
run "$SW_BUILDDIR/tests/external/write_paper" large.html 2 20 90
check 'a guide is written of a large board' test -s large.html

"$python" "$SW_SRCDIR/tests/external/guide.py" "$work" >seen 2>"$work/err"
status=$?
mv seen "$work/out"
while IFS= read -r line; do
  case $line in
  'ok '*) ok "${line#ok }" ;;
  'not ok '*) echo "# ${line#not ok }"; not_ok "${line#not ok }" ;;
  *) echo "# $line" ;;
  esac
done <"$work/out"
check 'the browser test came to its end' status_is 0

finish
