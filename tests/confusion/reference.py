"""A second, slow reading of engine.md, 1 and 2, over values as an entry writes them.

It shares nothing with the product but the catalogue, so that a slip in one of the two shows up as a difference.
"""

from __future__ import annotations

UNKNOWN, OUTSIDE = "unknown", "not-applicable"
FIELD = {"glance", "close", "cut", "smell"}
LEVELS = {"field": FIELD, "print": FIELD | {"spore-print"}}
LEVELS["lab"] = LEVELS["print"] | {"uv-lamp", "reagent", "microscope"}
MILD = {"gastrointestinal", "disulfiram-like", "raw-haemolysin"}
MILD |= {"shiitake-dermatitis", "individual-intolerance", "spoiled-food"}


def by_stage(form, written):
    """V(t,c,s): what is given for each stage; no stage given: all."""
    if isinstance(written, dict) and "is" in written:
        written = written["is"]
    if isinstance(written, dict):
        return {stage: as_list(value) for stage, value in written.items()}
    return {stage: as_list(written) for stage in form.stages}


def as_list(value):
    return list(value) if isinstance(value, list) else [value]


def worn(character, states):
    """The closure under `may_turn_into`."""
    result = set(states)
    while True:
        more = {into for id in result for into in character.states[id].may_turn_into}
        if more <= result:
            return result
        result |= more


def linked(character, states, *links):
    return {other for id in states for link in links for other in getattr(character.states[id], link)}


def applicable(form, character, look):
    """The status that the controlling character imposes, or None where the character's own values stand.

    `look` gives the controlling character's own outcome on the same side.
    """
    if not character.applies_if:
        return None
    above, inside = character.applies_if
    control = look(above)
    if control in (UNKNOWN, OUTSIDE):
        return control
    if not control:
        return UNKNOWN  # nothing is accepted of it, so nothing is known of what depends on it
    if not control & inside:
        return OUTSIDE
    blurred = linked(form.characters[above], inside, "near", "like")
    return UNKNOWN if (control - inside) & blurred else None


# --- The other side ---


def own_value(form, taxon, id):
    """The closed union over the stages, or the hull; nothing implied, applicability not asked."""
    if id not in taxon["characters"]:
        return UNKNOWN
    given = by_stage(form, taxon["characters"][id])
    if not form.needed_stages <= set(given):
        return UNKNOWN
    flat = [each for values in given.values() for each in values]
    character = form.characters[id]
    return (min(flat), max(flat)) if character.is_measured else worn(character, flat)


def own_appearance(form, taxon, id):
    """The entry's own appearance, before anything is implied."""
    imposed = applicable(form, form.characters[id], lambda above: own_appearance(form, taxon, above))
    return imposed or own_value(form, taxon, id)


def implied(form, taxon, id):
    """The states that the implications add to a character."""
    added = set()
    for each in form.implications:
        when, unless = (own_value(form, taxon, of) for of in (each.when_character, each.unless_character))
        applies = when == UNKNOWN or when & each.when_states  # an unknown overlaps everything
        spared = unless != UNKNOWN and unless <= each.unless_states
        if each.adds_character == id and applies and not spared:
            added |= worn(form.characters[id], each.adds_states)
    return added


def appearance(form, taxon, id):
    """A(t,c): a set of states, a range unwidened, or a status."""
    imposed = applicable(form, form.characters[id], lambda above: appearance(form, taxon, above))
    if imposed:
        return imposed
    own, added = own_value(form, taxon, id), implied(form, taxon, id)
    if not added:
        return own
    if own != UNKNOWN:
        return own | added
    recorded = id in taxon["characters"]
    return UNKNOWN if recorded or own_appearance(form, taxon, id) != OUTSIDE else added


def reported(form, taxon, id):
    """R(t,c): what a careful person may report, or the widened range."""
    character, shown = form.characters[id], appearance(form, taxon, id)
    if shown in (UNKNOWN, OUTSIDE):
        return shown
    if character.is_measured:
        low, high = shown
        return (0 if character.grows else low * (1 - character.tolerance), high * (1 + character.tolerance))
    return shown | linked(character, shown, "near")


# --- The edible side ---


def accepted(form, taxon, id):
    """N(t,c): a set of states, a range, None where a size takes no part, or a status."""
    character, only = form.characters[id], taxon["accept_only"]
    imposed = applicable(form, character, lambda above: accepted(form, taxon, above))
    if imposed:
        return imposed
    if id not in taxon["characters"]:
        return UNKNOWN
    given = by_stage(form, taxon["characters"][id])
    stages = as_list(only["stage"]) if "stage" in only else list(form.stages)
    if character.is_measured and not character.grows:
        stages = list(form.stages)
    flat = [each for stage in stages for each in given.get(stage, [])]
    if not flat:
        return UNKNOWN
    if character.is_measured:
        own = None if character.grows else (min(flat), max(flat))
        return tuple(only[id]) if id in only else own
    return set(flat) & set(as_list(only[id])) if id in only else set(flat)


# --- The pair ---


def status(form, a, b, id):
    """`yes`, `one-way`, `no`, `unknown` or `not-applicable`."""
    mine, theirs = accepted(form, a, id), reported(form, b, id)
    if OUTSIDE in (mine, theirs):
        return OUTSIDE
    if UNKNOWN in (mine, theirs):
        return UNKNOWN
    if form.characters[id].is_measured:
        return measured_status(form, a, id, mine, theirs)
    if mine and not mine & theirs:
        return "yes"
    shown = appearance(form, a, id)
    if shown in (UNKNOWN, OUTSIDE):
        return "no"
    return "one-way" if shown - theirs and shown & theirs else "no"


def measured_status(form, a, id, mine, theirs):
    grows = form.characters[id].grows
    if mine and (mine[0] > theirs[1] or (not grows and mine[1] < theirs[0])):
        return "yes"
    shown = appearance(form, a, id)
    if shown in (UNKNOWN, OUTSIDE):
        return "no"
    low, high = (0 if grows else shown[0]), shown[1]
    some = high > theirs[1] or low < theirs[0]
    meets = low <= theirs[1] and high >= theirs[0]
    return "one-way" if some and meets else "no"


def alike(form, a, b, id):
    """Tell whether a state of N(a) is `like` one of A(b)."""
    character = form.characters[id]
    if character.is_measured:
        return False
    return bool(linked(character, accepted(form, a, id), "like") & appearance(form, b, id))


def weight(form, a, b, id):
    """The weight of a contrast that separates."""
    full = form.weight(form.characters[id])
    return min(full, 1) if alike(form, a, b, id) else full


def contrasts(form, a, b):
    """The status, weight and likeness of every character; only what separates weighs anything."""
    told = {id: status(form, a, b, id) for id in form.characters}
    return {
        id: (word, weight(form, a, b, id), alike(form, a, b, id)) if word == "yes" else (word, 0, False)
        for id, word in told.items()
    }


def separators(form, told, level, needed):
    """Separators(a,b) at a level, from the contrasts of the pair, where so many are required."""
    telling = [form.characters[id] for id, (_, worth, _) in told.items() if worth]
    telling = [each for each in telling if each.seen_by in LEVELS[level]]
    if needed == 2 and not any(each.every for each in telling):
        return 0
    total, confusable = 0, 0
    for witness in {each.witness for each in telling}:
        mine = [told[each.id] for each in telling if each.witness == witness]
        plain = max([worth for _, worth, confused in mine if not confused], default=0)
        if plain:
            total += plain
        else:
            confusable = 1
    return total + confusable


def required(verdict, syndromes, severity):
    """Required(a,b) for a suspect of this verdict."""
    if verdict == "deadly":
        return 2
    if verdict in ("edible", "edible-with-conditions"):
        return 1
    mild = bool(syndromes) and set(syndromes) <= MILD and severity != "severe"
    return 1 if mild else 2
