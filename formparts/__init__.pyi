# Types of the public names, grouped by what they are for; formparts/__init__.py looks the names up on demand.

# Parts and recipes
# Assemblies
from formparts.assembly import Assembly as Assembly
from formparts.assembly import Placed as Placed
from formparts.assembly import Turned as Turned
from formparts.assembly import place as place
from formparts.assembly_recipes import assemble as assemble
from formparts.assembly_recipes import assembly_recipe as assembly_recipe
from formparts.assembly_recipes import find_assembly as find_assembly

# Stock and rules
from formparts.bending import BendRule as BendRule
from formparts.bending import bend_rule as bend_rule

# The model
from formparts.body import Bend as Bend
from formparts.body import Body as Body
from formparts.body import Flat as Flat
from formparts.body import Frame as Frame
from formparts.body import Opening as Opening
from formparts.body import Sheet as Sheet
from formparts.checks import Finding as Finding
from formparts.checks import LimitProfile as LimitProfile
from formparts.checks import limit_profile as limit_profile
from formparts.closed_forms import Properties as Properties

# Many parts
from formparts.comparison import compare as compare

# Errors
from formparts.errors import FileProofError as FileProofError
from formparts.errors import FormpartsError as FormpartsError
from formparts.errors import InputError as InputError
from formparts.errors import KernelError as KernelError
from formparts.errors import UnitsError as UnitsError
from formparts.families import family as family
from formparts.families import grid_rows as grid_rows
from formparts.families import read_table as read_table
from formparts.families.regions import region as region

# What a part gives
from formparts.layout import Blank as Blank
from formparts.materials import Material as Material
from formparts.materials import material as material
from formparts.materials import materials_from as materials_from

# Outlines
from formparts.outline import Motion as Motion
from formparts.outline import Outline as Outline
from formparts.outline import arc_to as arc_to
from formparts.outline import bolt_circle as bolt_circle
from formparts.outline import closed_path as closed_path
from formparts.outline import cut as cut
from formparts.outline import disc as disc
from formparts.outline import grid as grid
from formparts.outline import intersect as intersect
from formparts.outline import obround as obround
from formparts.outline import polygon as polygon
from formparts.outline import rectangle as rectangle
from formparts.outline import ring as ring
from formparts.outline import round_ended_rectangle as round_ended_rectangle
from formparts.outline import unite as unite

# Parameters of a recipe
from formparts.parameters import Angle as Angle
from formparts.parameters import BendRuleName as BendRuleName
from formparts.parameters import Choice as Choice
from formparts.parameters import Count as Count
from formparts.parameters import Length as Length
from formparts.parameters import MaterialName as MaterialName
from formparts.parameters import Number as Number
from formparts.parameters import Yes as Yes
from formparts.part import Part as Part
from formparts.recipe_functions import Recipe as Recipe
from formparts.recipe_functions import describe as describe
from formparts.recipe_functions import find_recipe as find_recipe
from formparts.recipe_functions import recipe as recipe
from formparts.recipe_functions import recipes as recipes
from formparts.shapes import X_AXIS as X_AXIS
from formparts.shapes import Y_AXIS as Y_AXIS
from formparts.shapes import Z_AXIS as Z_AXIS
from formparts.shapes import Axis as Axis

# Builders
from formparts.shapes import add_curl as add_curl
from formparts.shapes import add_flange as add_flange
from formparts.shapes import add_hem as add_hem
from formparts.shapes import array_about as array_about
from formparts.shapes import cut_opening as cut_opening
from formparts.shapes import down as down
from formparts.shapes import fuse as fuse
from formparts.shapes import hole as hole
from formparts.shapes import mirror as mirror
from formparts.shapes import offset_lug as offset_lug
from formparts.shapes import pierced as pierced
from formparts.shapes import plate as plate
from formparts.shapes import profile as profile
from formparts.shapes import relief as relief
from formparts.shapes import renamed as renamed
from formparts.shapes import rooted as rooted
from formparts.shapes import rotate as rotate
from formparts.shapes import run as run
from formparts.shapes import shifted as shifted
from formparts.shapes import tip as tip
from formparts.shapes import tongue as tongue
from formparts.shapes import translate as translate
from formparts.shapes import up as up
from formparts.solving import optimise as optimise
from formparts.solving import solve as solve

# Files of others
from formparts.unfolded_files import unfold_file as unfold_file
from formparts.verification import verify as verify

__version__: str
__all__: list[str]
