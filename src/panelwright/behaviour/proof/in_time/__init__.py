"""Proofs in real time: the states of devices together with clocks, for sentences and assumptions with seconds."""
