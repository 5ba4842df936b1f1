"""What a choice in the middle of a day would do: a rehearsed day goes in, figures of its rests out.

``unknown`` draws anew what nobody on the site knows yet (how long the stop lasts, when the trucks
come, what goes wrong next), ``rests`` plays the rest of the day many times for each choice, with
the same draws for all, and ``ways`` says where the pour could be ended. Read ``rests`` first.
"""
