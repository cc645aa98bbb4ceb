"""What a published relation is, and the registry of them. Knows no relation itself.

Every room keeps its relations as tables in a folder ``formulas`` beside its code (TOML); they are
found there, read when asked for, and their functions imported when they are run. From this one
registry come the command ``clampwright formula``, the reference page and the page in the browser.

relation     a relation, its inputs and outputs
tables       where the relations stand and how they are read
values       a value as a person wrote it, in the unit the relation computes in
compound     units of products and quotients, such as N/deg
calculation  running one: result, effect of each input, rivals beside it
notation     the formula as plain text turned into MathML
"""

from clampwright.formula.relation import Input, Output, Relation
from clampwright.formula.tables import relation, relations

__all__ = ["Input", "Output", "Relation", "relation", "relations"]
