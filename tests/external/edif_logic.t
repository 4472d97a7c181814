#!/bin/sh
# An outside writer: a logic compiler writes EDIF of a small circuit with 74HC black
# boxes and a wide bus; the parts, pins and nodes are those that the Verilog says.
. "$SW_SRCDIR/tests/lib/tap.sh"
need yosys

cat >rain.v <<'END'
(* blackbox *)
module HC00(input A, input B, output Y);
endmodule
(* blackbox *)
module HC164(input DSA, input DSB, input CP, input MR_N, output [7:0] Q);
endmodule
module rain(input bucket, input clear, output [7:0] lamp);
  wire tip, tip_n;
  HC00 U1 (.A(bucket), .B(tip_n), .Y(tip));
  HC00 U2 (.A(tip), .B(tip), .Y(tip_n));
  HC164 U3 (.DSA(1'b1), .DSB(tip), .CP(bucket), .MR_N(clear), .Q(lamp));
endmodule
END

# What the Verilog says, by hand: a line a node, its name and its pins.
cat >wanted <<'END'
bucket bucket.1 U1.A U3.CP
clear clear.1 U3.MR_N
lamp[0] lamp[0].1 U3.Q[0]
lamp[1] lamp[1].1 U3.Q[1]
lamp[2] lamp[2].1 U3.Q[2]
lamp[3] lamp[3].1 U3.Q[3]
lamp[4] lamp[4].1 U3.Q[4]
lamp[5] lamp[5].1 U3.Q[5]
lamp[6] lamp[6].1 U3.Q[6]
lamp[7] lamp[7].1 U3.Q[7]
tip U1.Y U2.A U2.B U3.DSB
tip_n U1.B U2.Y
END
cat >parts <<'END'
U1 HC00
U2 HC00
U3 HC164
END

for option in '-pvector bra' '-pvector ang -attrprop'; do
  run yosys -q -p "read_verilog rain.v; hierarchy -top rain; write_edif $option rain.edf"
  check "the outside writer writes ($option)" status_is 0
  run stripwright convert rain.edf -o rain.sched
  check "it is read ($option)" status_is 0
  tr '<>' '[]' <rain.sched >one && mv one rain.sched
  sed -n 's/^node - name=\([^ ]*\) rail=[a-z]* : /\1 /p' rain.sched | sort >nodes
  grep -v '^VCC_NET\|^\$' nodes >got
  sort wanted >wanted.sorted
  run diff wanted.sorted got
  check "nodes and pins are as the Verilog says ($option)" status_is 0
  sed -n 's/^part \(U[0-9]*\) .* device=\([^ ]*\) .*/\1 \2/p' rain.sched >got
  run diff parts got
  check "parts are as the Verilog says ($option)" status_is 0
  run grep -c 'rail=positive : U3.DSA$' rain.sched
  check "the constant is a rail ($option)" status_is 0
done

finish
