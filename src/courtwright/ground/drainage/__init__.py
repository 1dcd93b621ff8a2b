"""Run-off and where it is led: rational method, time of concentration, Manning, side lowering, run-on."""
