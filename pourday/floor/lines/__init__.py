"""Lines across the floor, a metre of deck wide, where deck, strips and beams meet.

In come layout and deck, out come every load state in placing order and the depth struck.
Read ``lines`` first; ``frame`` is the beams, ``states`` the loads, ``ponding`` the sag's concrete.
"""
