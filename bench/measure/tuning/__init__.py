"""Volts per octave: how an oscillator tracks, and which trimmer to turn how far."""
