"""Drawings, charts and the paper record of a job: the same bytes from the same data.

``jointmap`` where the fasteners sit and what their state is; ``settingcard`` a tool's own scale at
the wanted setting; ``charts`` a recorded pull; ``pdf`` the record on paper.
"""
