"""Text to plain rows and a list of problems, and back again. No framework, no database, no clock.

A reader here never raises for what stands in a file: it answers with what it could read and with every problem it
found. It changes no value without saying so, and it never guesses where two readings are possible: it asks.
"""
