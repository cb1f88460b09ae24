"""The questions a maker asks, each answered from the same kernel."""
