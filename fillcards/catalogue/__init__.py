"""What is known about syringes, medicines, papers, near vision, and where each fact comes from. Nothing of a patient.

The facts stand in the ``.yaml`` files beside the modules; every row names its sources.
"""
