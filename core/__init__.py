"""platewright's engine: what a person tells us goes in, a verdict with reasons comes out.

The way through the house, one arrow a module or package, each a pure function on frozen values::

    words or fields -> intake -> Report
    Report          -> geometry -> Geometry        five coupon errors, their contrasts, what they can and cannot tell
    Report          -> exposure -> Exposure        cure depth, bridging, dose, settling, wear
    all of it       -> diagnosis -> Diagnosis      exact posterior over the causes, evidence, the next best check
    Diagnosis       -> plan -> Plan                ordered steps, what to avoid, which cautions
    Plan            -> verdict -> Verdict          the JSON contract
    Verdict         -> card -> Card                what a front end shows
    Inquiry         -> service -> Card             the only place with disk, clock and threads

Knowledge (``core/knowledge/data``) and words (``core/words/data``) are data that every step may read. Importing
anything here builds nothing.
"""
