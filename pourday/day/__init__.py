"""One day: plants, trucks, pumps and crews play a plan (simpy); out comes a log of when.

Three stories run at once: ``calling`` (concrete is called, down to the last load; ``telephone`` is
its part), ``truck`` (a load comes and goes) and ``placing`` (a front goes from strip to strip;
``filling``, ``stands`` and ``waits`` are its parts). They share
``site_day``; ``play`` tells them, ``log`` is what remains. ``state`` is how a day stands at a
moment as plain values, ``take_up`` goes from a day to its state and back.
Rooms: ``chance``, ``supply``, ``site``, ``front``. Read ``play`` first, then ``truck``.
"""
