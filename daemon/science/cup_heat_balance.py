"""The warmth of a cup as one lump: C dT/dt = lamp − UA·(T − room) − evaporation.

Powers in W, UA in W/K, C in J/K. The coefficients are starting guesses of a bare plastic or glass cup in
still air [C, coefficients assumed]; a station learns its own from lamp-on and lamp-off steps.
"""

from math import exp

from daemon.science.valid_range import within

HEAT_J_PER_ML_K = 4.124  # brine of 25 g/kg; plain water is 4.17, sea water of 25 g/kg 4.12
CUP_ML = 250.0
CUP_UA_W_PER_K = 0.18
SECONDS_PER_H = 3600.0


def heat_capacity_j_per_k(volume_ml: float) -> float:
    """Heat that warms `volume_ml` mL of hatching brine by one kelvin, J/K: 1031 for 250 mL.

    The vessel's own wall is left out: a thin cup adds 1 to 3 %.
    """
    return HEAT_J_PER_ML_K * within("volume", volume_ml, 1.0, 1e6, "mL")


def ua_w_per_k_of(volume_ml: float) -> float:
    """Starting guess of the loss to the room of a vessel of `volume_ml` mL, without evaporation, W/K.

    0.18 for 250 mL, growing as the surface of bodies of one shape does, with volume to the power 2/3.
    """
    size: float = (within("volume", volume_ml, 1.0, 1e6, "mL") / CUP_ML) ** (2.0 / 3.0)
    return CUP_UA_W_PER_K * size


def latent_heat_j_per_g(water_c: float) -> float:
    """Heat that a gram of evaporating water takes, J/g: 2501 − 2.361 t (FAO-56 annex 3, eq. 3-1) [M]."""
    return 2501.0 - 2.361 * within("water temperature", water_c, -5.0, 60.0, "°C")


def evaporation_w(kg_per_m2_h: float, surface_cm2: float, water_c: float) -> float:
    """Cooling power of evaporation from `surface_cm2` cm², W."""
    within("water surface", surface_cm2, 0.0, 1e6, "cm²")
    within("evaporation", kg_per_m2_h, 0.0, 100.0, "kg/(m²·h)")
    return kg_per_m2_h * surface_cm2 / 10.0 * latent_heat_j_per_g(water_c) / SECONDS_PER_H


def time_constant_h(
    heat_capacity_j_per_k: float, ua_w_per_k: float, evaporation_w_per_k: float = 0.0
) -> float:
    """Hours in which a step fades to 37 %.

    Evaporation grows with the water's temperature; `evaporation_w_per_k` is by how much, and adds to UA.
    """
    within("heat capacity", heat_capacity_j_per_k, 1e-3, 1e9, "J/K")
    within("evaporation's slope", evaporation_w_per_k, 0.0, 1e6, "W/K")
    conductance = within("loss to the room", ua_w_per_k, 1e-6, 1e6, "W/K") + evaporation_w_per_k
    return heat_capacity_j_per_k / conductance / SECONDS_PER_H


def equilibrium_c(room_c: float, lamp_w: float, ua_w_per_k: float, evaporation_w: float) -> float:
    """Where the cup's temperature settles, °C: room + (lamp − evaporation)/UA."""
    within("room temperature", room_c, -20.0, 60.0, "°C")
    within("lamp", lamp_w, 0.0, 10_000.0, "W")
    within("evaporation", evaporation_w, 0.0, 10_000.0, "W")
    return room_c + (lamp_w - evaporation_w) / within("loss to the room", ua_w_per_k, 1e-6, 1e6, "W/K")


def cup_c_after(
    hours: float,
    start_c: float,
    room_c: float,
    lamp_w: float,
    ua_w_per_k: float,
    heat_capacity_j_per_k: float,
    evaporation_w: float,
) -> float:
    """The cup's temperature after `hours` in a steady room, °C.

    Exact for constant powers. Evaporation changes with temperature: step at most about half an hour and
    hand the new one in, or the cup cools a little too far.
    """
    within("hours", hours, 0.0, 1e6, "h")
    within("start temperature", start_c, -20.0, 100.0, "°C")
    settled_c = equilibrium_c(room_c, lamp_w, ua_w_per_k, evaporation_w)
    return settled_c + (start_c - settled_c) * exp(
        -hours / time_constant_h(heat_capacity_j_per_k, ua_w_per_k)
    )
