"""What the usual recipe asks for in the station's vessels."""

from daemon.care.vessel_limits import USUAL_CUP_G_PER_L, usual_dose_g
from daemon.estimates.water.salt import USUAL_SALT_G_PER_L
from daemon.science.brine import salinity_in_a_litre
from daemon.science.counts import DRY_CYST_UG, PINCH_CYSTS, PINCH_FACTOR
from daemon.science.hatch_needs import most_cysts_g_per_l
from daemon.science.soda import MOST_SODA_ADVISED_G_PER_L
from daemon.station import Vessel
from reports.page.paper.dose import Dose, Recipe


def recipe() -> Recipe:
    """The usual one, whose sources stand where its figures do."""
    return Recipe(
        salt_g_per_l=USUAL_SALT_G_PER_L,
        salt_g_per_kg=salinity_in_a_litre(USUAL_SALT_G_PER_L),
        soda_most_g_per_l=MOST_SODA_ADVISED_G_PER_L,
        cysts_g_per_l=USUAL_CUP_G_PER_L,
        pinch_cysts=PINCH_CYSTS,
        pinch_factor=PINCH_FACTOR,
        pinch_g=PINCH_CYSTS * DRY_CYST_UG / 1e6,
    )


def dose_of(vessel: Vessel) -> Dose:
    """For water up to its mark. What a cone is set with hangs on what is to be drawn off."""
    litres = vessel.mark_ml / 1000
    return Dose(
        vessel.id,
        vessel.count,
        vessel.mark_ml,
        USUAL_SALT_G_PER_L * litres,
        MOST_SODA_ADVISED_G_PER_L * litres,
        usual_dose_g(vessel),
        most_cysts_g_per_l(litres) * litres,
    )
