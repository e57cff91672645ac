"""What to do: cumulative stops and ordered steps, the safety rules, drawing accuracy, supply, print size."""
