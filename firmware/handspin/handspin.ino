// Empty on purpose: the sketch is the C files beside this one, main.c first.
