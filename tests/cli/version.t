#!/bin/sh
# The command says its version, and what it wants when it is not told.
. "$SW_SRCDIR/tests/lib/tap.sh"

run stripwright --version
check 'version: status 0' status_is 0
check 'version: one line with name and number' grep -Eqx 'stripwright [0-9]+\.[0-9]+\.[0-9]+' out

run stripwright --help
check 'help: status 0' status_is 0
check 'help: on standard output' has out 'usage: stripwright'

run stripwright
check 'no verb: status 2' status_is 2
check 'no verb: usage on standard error' has err 'usage: stripwright'

finish
