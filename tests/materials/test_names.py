"""Names of materials as shops write them, and names of something else."""

from __future__ import annotations

import pytest

from formparts.errors import InputError
from formparts.forming.bend_radii import tables_for
from formparts.materials import known_materials, material

# What shops write: numbers of EN and UNS, names of AISI, SAE, JIS and DIN, old and new, words left out or added.
SPELT = {
    "S235JR": "S235JRG2; Fe360; USt 37-2; E24-2; EN 10025-2 S235JR; EN 10025 S235JR; WNr 1.0038; RSt37-2",
    "S235J2": "1.0117; St 37-3 N",
    "S275J0": "1.0143",
    "S355JR": "1.0045",
    "S355J0": "1.0553; St52-3 U",
    "S355J2": "Fe510; S355J2G3; 1.0570; S355J2+N; S355J2+AR",
    "S355K2": "1.0596",
    "S550MC": "1.0986; QStE 550 TM",
    "S650MC": "1.8976",
    "DC01": "St 12.03; St1203; CRCA; SPCC; JIS G3141 SPCC; EN 10130 DC01; DIN 1623 St12; DC01-A-m; DC01 LC",
    "DC03": "SPCD",
    "DC04": "SPCE; St14",
    "DD11": "SPHC; StW22",
    "DD12": "SPHD; 1.0398",
    "DD13": "StW 24; SPHE",
    "DX51D+Z": "St 02 Z; St02Z; DX51D+Z275MAC; DX51D-Z275",
    "HC260LA": "H240LA",
    "HC420LA": "1.0556",
    "A1011 CS-B": "HRS; HRPO",
    "A1008 CS-B": "CRS",
    "1018": "C1018; SAE 1018",
    "C45E": "ck45; Ck 45; 1.1191; AISI 1045",
    "C45": "1.0503",
    "1.4301": "S30400; UNS S30400; 304 2B; 304-2B; inox 304; 18-8; s.s. 304; Werkstoff 1.4301; mat. 1.4301; "
    "ASTM A240 Type 304; A240 304; 1.4301 (X5CrNi18-10); AISI 304 / 1.4301; 18/8; 18/10",
    "1.4306": "X2CrNi19-11",
    "1.4307": "S30403; 304L",
    "1.4401": "316; SS316; s.s. 316; AISI 316; S31600; SUS 316",
    "1.4404": "S31603; 316L 2B",
    "1.4541": "321; AISI 321; S32100; SUS321",
    "1.4571": "S31635",
    "1.4016": "430S17",
    "1050A-H14": "1050; 1050 H14; Al99,5; A1050P-H14; EN AW-1050A",
    "A1011 SS-36": "ASTM A1011 SS Grade 36; A1011 SS36",
    "A1011 HSLAS-50": "HSLA 50; A1011 HSLAS Grade 50",
    "1100-H14": "1100; AA1100",
    "5005-H34": "5005; A5005P",
    "EN AW-6061-T6": "EN 485-2 6061-T6; EN 573-3 6061 T6; EN AW 6061-T6",
    "EN AW-5005-H34": "AlMg1; 5005-H24; 3.3315; EN AW 5005 H34",
    "5754-H22": "EN AW-5754 [AlMg3]; AL5754; AW-5754; 5754/H22",
    "5052-H32": "ASTM B209 5052-H32; A5052P; A95052; AA5052; AA 5052-H32",
    "6061-T6": "6061-T651; A6061P-T6; AA6061-T6",
    "6082-T6": "6082-T651; AlMgSi1; HE30",
    "7075-T6": "7075-T651",
    "EN AW-3003-O": "3003-H111",
    "Cu-ETP": "C110; E-Cu; E-Cu58; 2.0065",
    "Cu-DHP": "C122; SF-Cu; 2.0090",
    "CuZn37": "Ms63; Ms 63; CZ108",
    "CuZn30": "C260; cartridge brass; Ms 70",
    "CuSn6": "phosphor bronze; PB103",
    "Ti Grade 1": "CP1; Gr1",
    "Ti Grade 2": "Ti; Gr2; CP 2",
    "Ti-6Al-4V": "Ti64; TiAl6V4; Ti6Al4V; Gr 5; titanium grade 5; Ti Grade 5",
    "S355J0C": "1.0554; S355J0C+N",
    "S355J2C": "Q St 52-3",
    "S250GD+Z": "S250GD+Z275; S250GD",
    "S700MC": "S700MC+AR",
}


@pytest.mark.parametrize("name", SPELT)
def test_a_material_is_found_as_shops_write_it(name: str) -> None:
    for asked in SPELT[name].split("; "):
        assert material(asked).name == name, asked


@pytest.mark.parametrize(
    "asked",
    [
        "DX51D+ZM",
        "DX51D+ZF",
        "A1018",
        "aluminium bronze",
        "S690QL",
        "1008",
        "zinc",
        "steel 999",
        "EN 10025",
        "EN 10025-2",
        "grade 5",
        "titanium zinc",
    ],
)
def test_a_name_of_something_else_is_not_taken_for_a_material(asked: str) -> None:
    with pytest.raises(InputError, match="no such material"):
        material(asked)


def test_a_european_name_never_goes_by_the_smaller_radii_of_the_aluminum_association() -> None:
    """EN 485-2 asks for more than the Aluminum Design Manual; numbers such as 3.3535 are of the European trade."""
    for grade in known_materials():
        names = (grade.name, grade.standard_number, *grade.aliases)
        if any(name.startswith(("EN AW", "3.")) for name in names) and grade.family == "aluminium":
            assert all("Aluminum" not in table.name for table in tables_for(grade)), grade.name
