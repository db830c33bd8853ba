"""Our own statistics: guesses, each with its spread, and the model of a golfer by which they are judged.

Nothing here is a published rule. Floats are welcome; a number that the standard rounds never comes from here.
"""
