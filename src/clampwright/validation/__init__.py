"""Every published value that the library is held against, computed again from its inputs.

row        one published figure beside the computed one, with tolerance, source and verdict
sheet      tables that name the relation or case, its inputs and the printed figure
cases      worked examples that need more than one relation
tables     whole printed tables: threads, strength, heads, friction, units
assembly   printed assembly preloads and torques
workshop   tables of tools: permissible deviation, wrench sizes, aircraft torques, orders
charts     control chart factors and examples, statistical reference data sets
report     all of it, and what came out

The published figures stand in ``standards/published`` as tables of facts with source, basis and
flag; nothing is copied from a page of a standard.
"""
