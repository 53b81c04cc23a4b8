"""Where the kit's facts and figures come from."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["SOURCES", "Source", "cite"]


@dataclass(frozen=True, slots=True)
class Source:
    """One published source.

    Parameters
    ----------
    citation : str
        Author or body, year and title.
    identifier : str
        Report number, or journal with volume and pages; no address on the net.
    where : str
        Table, chapter or section that holds what the kit takes.
    gives : str
        What the kit takes from it.
    from_memory : bool, optional
        The figures were remembered, not read in the source. Say so beside them.
    """

    citation: str
    identifier: str
    where: str
    gives: str
    from_memory: bool = False


SOURCES: dict[str, Source] = {
    "nist_hb44": Source(
        "National Institute of Standards and Technology, Specifications, Tolerances, "
        "and Other Technical Requirements for Weighing and Measuring Devices",
        "NIST Handbook 44",
        "Appendix C",
        "US gallon of 231 cubic inches, imperial gallon, cubic foot",
    ),
    "ciaaw": Source(
        "IUPAC Commission on Isotopic Abundances and Atomic Weights, Standard Atomic "
        "Weights",
        "CIAAW table of 2007",
        "nitrogen 14.0067, oxygen 15.9994",
        "4.4268 g of nitrate for each gram of nitrogen in it",
    ),
    "fao_77": Source(
        "Food and Agriculture Organization of the United Nations (2003), Food energy: "
        "methods of analysis and conversion factors",
        "FAO Food and Nutrition Paper 77",
        "chapter 2",
        "protein as 6.25 times nitrogen",
    ),
    "timmons_ebeling": Source(
        "Timmons and Ebeling, Recirculating Aquaculture (editions of 2007 to 2013)",
        "textbook",
        "ammonia production from feed",
        "0.092 of the feed's protein leaves as ammonia nitrogen; 2,000 g of feed of "
        "32 % protein give 58.9 g",
    ),
    "ebeling_2006": Source(
        "Ebeling, Timmons and Bisogni (2006), stoichiometry of ammonia removal in "
        "aquaculture",
        "Aquaculture 257:346-358",
        "stoichiometric tables",
        "0.976 g of nitrate nitrogen from each gram of ammonia nitrogen; 0.144 of the "
        "protein where all solids stay in the water",
        from_memory=True,
    ),
    "davidson_2011": Source(
        "Davidson, Good, Welsh and Summerfelt (2011), trout in recirculating systems "
        "of low and near-zero exchange",
        "Aquacultural Engineering 45:109-117",
        "abstract",
        "nitrate reached in fish farms at a known feed for each volume of new water",
    ),
    "davidson_2014": Source(
        "Davidson, Good, Welsh and Summerfelt (2014), trout at high and low nitrate "
        "in recirculating systems",
        "Aquacultural Engineering 59:30-40",
        "abstract",
        "nitrate reached in fish farms at a known feed for each volume of new water",
    ),
    "bourne_ch14": Source(
        "Bourne, A First Course in Pharmacokinetics and Biopharmaceutics",
        "course PHAR 7633",
        "chapter 14",
        "worked examples of a level under repeated doses and a constant loss",
    ),
    "nist_strd": Source(
        "National Institute of Standards and Technology, Statistical Reference "
        "Datasets",
        "NIST StRD",
        "BoxBOD, Misra1a, Norris",
        "certified answers for fitted curves",
    ),
    "pinheiro_bates": Source(
        "Grasela and Donn (1985), data on phenobarbital in newborns, as used by "
        "Pinheiro and Bates (2000), Mixed-Effects Models in S and S-PLUS",
        "data set Phenobarb of the R package nlme",
        "section 6.4",
        "a fit of irregular doses with a constant loss",
    ),
    "kleiber_zeileis": Source(
        "Kleiber and Zeileis (2008), Applied Econometrics with R",
        "data set Affairs of the R package AER",
        "the Tobit example",
        "a fit to values known only as below a limit",
    ),
    "emerson_1975": Source(
        "Emerson, Russo, Lund and Thurston (1975), aqueous ammonia equilibrium: effect "
        "of pH and temperature",
        "Journal of the Fisheries Research Board of Canada 32:2379",
        "equation for pKa",
        "share of ammonia that is un-ionised in fresh water",
    ),
    "epa_chlorine": Source(
        "US Environmental Protection Agency (1985), Ambient water quality criteria for "
        "chlorine",
        "EPA 440/5-84-030",
        "criteria",
        "chlorine: 19 ug/L for an hour and 11 ug/L for four days in fresh water, 13 "
        "and 7.5 ug/L in salt water",
    ),
    "swamee_jain_1976": Source(
        "Swamee and Jain (1976), explicit equations for pipe-flow problems",
        "Journal of the Hydraulics Division ASCE 102(HY5):657-664",
        "equations for the friction factor and for the discharge",
        "friction of water in full pipes without trial and error",
        from_memory=True,
    ),
    "crane_tp410": Source(
        "Crane Co., Flow of Fluids Through Valves, Fittings, and Pipe, metric edition",
        "Technical Paper 410M",
        "examples 7-1 and following; losses at entrance and exit",
        "a worked friction factor in smooth pipe; 0.5 and 1 velocity head at the ends",
    ),
    "cengel_cimbala": Source(
        "Çengel and Cimbala, Fluid Mechanics: Fundamentals and Applications",
        "textbook",
        "examples 5-2, 8-2, 8-3 and the one on gravity-driven flow",
        "worked flows in pipes, and a tank that empties through a hole",
        from_memory=True,
    ),
    "usbr_water": Source(
        "US Department of the Interior, Bureau of Reclamation (1997, revised 2001), "
        "Water Measurement Manual",
        "third edition",
        "chapters 7 and 9",
        "weirs, Q = 3.33 L h^1.5 in feet, and orifices, 0.61 A sqrt(2 g h)",
        from_memory=True,
    ),
    "chow_1959": Source(
        "Chow (1959), Open-Channel Hydraulics",
        "textbook",
        "geometric elements of a circular section; flow of part-full pipes",
        "area and hydraulic radius of part-full pipes; Manning's n of smooth plastic",
        from_memory=True,
    ),
    "cfr_141_65": Source(
        "US Code of Federal Regulations, Maximum residual disinfectant levels",
        "40 CFR 141.65",
        "paragraph (a)",
        "chlorine and chloramine in tap water: 4.0 mg/L as Cl2",
    ),
    "epa_ammonia_2013": Source(
        "US Environmental Protection Agency (2013), Aquatic life ambient water quality "
        "criteria for ammonia, freshwater",
        "EPA 822-R-13-001",
        "equations of the criteria",
        "total ammonia allowed for an hour and as a mean of thirty days: 17 and 1.9 "
        "mg/L as nitrogen at pH 7 and 20 C",
    ),
    "ifas_fa16": Source(
        "University of Florida, Institute of Food and Agricultural Sciences, Ammonia "
        "in aquatic systems",
        "fact sheet FA-16",
        "table of factors and worked example",
        "un-ionised ammonia above 0.05 mg/L as nitrogen harms fish",
    ),
    "khoo_1977": Source(
        "Khoo, Culberson and Bates (1977), dissociation of ammonium ion in sea water",
        "Journal of Solution Chemistry 6:281",
        "abstract",
        "how salt lowers the un-ionised share of ammonia",
    ),
    "plummer_1982": Source(
        "Plummer and Busenberg (1982), solubilities of calcite, aragonite and vaterite",
        "Geochimica et Cosmochimica Acta 46:1011",
        "table of equations",
        "constants of carbonic acid in fresh water",
        from_memory=True,
    ),
    "unesco_44": Source(
        "Fofonoff and Millard (1983), Algorithms for computation of fundamental "
        "properties of seawater",
        "UNESCO Technical Papers in Marine Science 44",
        "density, practical salinity and specific heat",
        "grams of salt in a litre; 1023.343 kg/m3 for 35 at 25 C",
        from_memory=True,
    ),
    "benson_krause": Source(
        "Benson and Krause (1984), concentration and isotopic fractionation of oxygen "
        "dissolved in freshwater and seawater",
        "Limnology and Oceanography 29:620",
        "equation as printed in Standard Methods (APHA)",
        "oxygen that water holds from the air: 8.26 mg/L in fresh water of 25 C",
    ),
    "fao_56": Source(
        "Food and Agriculture Organization of the United Nations (1998), Crop "
        "evapotranspiration",
        "FAO Irrigation and Drainage Paper 56",
        "equation 11 and annex 3",
        "vapour pressure of water, and the heat it takes to evaporate",
        from_memory=True,
    ),
    "ashrae_1998": Source(
        "ASHRAE Transactions (1998), rates of evaporation from swimming pools",
        "ASHRAE Transactions 104-1A",
        "comparison with the formula of Carrier",
        "evaporation from quiet water, good to a factor of two",
    ),
    "ul_943": Source(
        "UL 943, Ground-Fault Circuit-Interrupters",
        "UL 943",
        "Class A",
        "a breaker that trips at about 5 mA",
    ),
    "gneiting_2007": Source(
        "Gneiting and Raftery (2007), strictly proper scoring rules, prediction and "
        "estimation",
        "Journal of the American Statistical Association 102:359-378",
        "equation 43",
        "the score of a foretold band: its width and a fine for what fell outside",
        from_memory=True,
    ),
    "czado_2009": Source(
        "Czado, Gneiting and Held (2009), predictive model assessment for count data",
        "Biometrics 65:1254-1261",
        "section on the probability integral transform",
        "how a forecast of readings in steps is judged",
        from_memory=True,
    ),
    "diebold_mariano": Source(
        "Diebold and Mariano (1995), comparing predictive accuracy",
        "Journal of Business and Economic Statistics 13:253-263",
        "the test of equal accuracy",
        "whether one forecast is told from another by its misses",
        from_memory=True,
    ),
    "raiffa_schlaifer": Source(
        "Raiffa and Schlaifer (1961), Applied Statistical Decision Theory",
        "textbook",
        "chapters on preposterior analysis",
        "what a test is worth before it is made",
        from_memory=True,
    ),
    "eu_2020_2184": Source(
        "European Union (2020), directive on the quality of water intended for human "
        "consumption",
        "Directive (EU) 2020/2184",
        "annex I, part B",
        "50 mg/L of nitrate at most in drinking water",
        from_memory=True,
    ),
}
"""Every source by its key."""


def cite(key: str) -> str:
    """Give a source as one line for a page or a table.

    Parameters
    ----------
    key : str
        Key in `SOURCES`.

    Returns
    -------
    str
        Citation, identifier and place; says so where the figures are from memory.

    Raises
    ------
    ValueError
        No such key.

    Examples
    --------
    >>> cite("fao_77").endswith("FAO Food and Nutrition Paper 77, chapter 2.")
    True
    """
    if key not in SOURCES:
        raise ValueError(f"no source {key!r}; there are {sorted(SOURCES)}")
    source = SOURCES[key]
    line = f"{source.citation}. {source.identifier}, {source.where}."
    return line + " Figures from memory." if source.from_memory else line
