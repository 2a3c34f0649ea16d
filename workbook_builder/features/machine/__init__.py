"""Does the machine pay: capital recovery, break-even area, payback, present value, rate of return, swings."""
