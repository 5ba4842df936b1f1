"""What the user writes: one TOML file for one floor and its plans, read into frozen objects.

``file`` holds the tables as written (units in the key names), ``read`` turns a file into a
``model.Scenario`` (SI inside) or into a full list of its faults.
"""
