"""Looking back: what was done and marked, counted and summed up; nothing is graded.

Pure: values come in, records come out. What was not recorded is missing, not "no": it is left
out of every figure, and each figure says of how many it is.
"""
