"""One function for each thing an estimator does; the only caller of several rooms.

``judging`` knows the facts and judges, ``estimate`` prices, ``papers`` makes the offer's request, and
``answers`` turns their records into the plain values of the contract. Nothing here knows of files, the
command line or a network. Each is imported by name, so that a verdict does not wait for the offer's libraries.
"""
