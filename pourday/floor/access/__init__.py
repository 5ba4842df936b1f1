"""How a front gets at its strips: reach of a boom, pipes of a line, lifts of a crane, other crews.

In come strips and means of placing, out come set-ups, pipes, lifts and shared ground.
Read ``set_ups`` first; ``zones`` says where two crews would come too near each other.
"""
