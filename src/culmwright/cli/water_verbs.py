"""The verbs of water, heat and thermal fit: ``dry``, ``heat`` and ``fit``."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import in_shop, shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import (
    display_of,
    length,
    length_above_zero,
    past_moment,
    quantity,
    size,
    typed_in,
    units_option,
)
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.quantities import Kind
from culmwright.measure.reach import Size
from culmwright.measure.typed_unit import display_typed

if TYPE_CHECKING:
    from culmwright.workshop.bundles import Bundle, Surroundings
    from culmwright.workshop.heating import Heating, OvenAsked

SAID = ("room", "humidity", "oven", "target", "offset")
KINDS = {"room": Kind.TEMPERATURE, "oven": Kind.TEMPERATURE, "humidity": Kind.HUMIDITY}


def _air_options(parser: Parser) -> None:
    parser.add_argument("--room", metavar="TEXT", help='temperature of the room, such as "70 F" or "21 C"')
    parser.add_argument("--humidity", metavar="TEXT", help='relative humidity of the room, such as "50 %%"')
    parser.add_argument("--offset", metavar="TEXT", help='what this shop\'s cane settles above wood, such as "0.5 %%"')


def _dry_arguments(parser: Parser) -> None:
    parser.add_argument(
        "weighings", metavar="WHAT", nargs="?", help="a file of weighings, or a rod of the shop such as R1"
    )
    parser.add_argument("--bundle", metavar="T1", help="this bundle of the rod: the strips of a section")
    parser.add_argument("--weigh", metavar="TEXT", help='keep what the bundle weighs now, such as "412.3 g"')
    parser.add_argument("--at", metavar="TIME", help="when it was weighed, such as 2026-11-25T08:00 (default now)")
    parser.add_argument("--take-back", metavar="WHY", help="take the newest weighing of the bundle back")
    _air_options(parser)
    parser.add_argument("--oven", metavar="TEXT", help="temperature of the oven the bundle dries in")
    parser.add_argument("--target", metavar="TEXT", help='moisture to come to, such as "6 %%" (default: its rest)')
    parser.add_argument("--dry-mass", metavar="TEXT", help="what the bundle weighs without water, where that is known")
    parser.add_argument(
        "--height", metavar="TEXT", help="height of a strip, for an estimate and for what it shrinks by"
    )
    parser.add_argument("--now", default="30%", metavar="TEXT", help="its moisture now (default 30%%)")
    parser.add_argument("--sides", type=int, default=6, metavar="N", help="sides of the rod: 4, 5 or 6 (default)")
    shop_option(parser)
    units_option(parser, "the rod's")


def _dry(args: argparse.Namespace) -> Answer:
    from culmwright.cli import water_render
    from culmwright.workshop.bundles import Surroundings
    from culmwright.workshop.drying import dry, weighings_file

    said = Surroundings(**{name: quantity(f"--{name}", getattr(args, name), _kind(name)) for name in SAID})
    bundles: tuple[Bundle, ...] = ()
    show = display_of(args, typed=typed_in(args, *SAID, "dry_mass", "height"))
    if args.weighings is not None and in_shop(args.weighings):
        bundles, show = _shop_bundles(args, said)
    elif args.weigh is not None or args.take_back is not None:
        raise BadInput("a weighing is kept in the shop", where="WHAT", remedy="Name a rod of the shop, such as R1")
    elif args.weighings is not None:
        bundles = (weighings_file(args.weighings),)
        weights = [one.text for one in bundles[0].weighings]
        show = display_of(args, display_typed(typed_in(args, *SAID, "dry_mass", "height")), weights)
    elif said.room is None and said.oven is None and said.humidity is None:
        raise BadInput(
            "there is nothing to reckon from",
            where="dry",
            remedy='Give a file of weighings, a rod of the shop, or --room "70 F" --humidity "50%"',
        )
    found = dry(
        said,
        bundles,
        dry_mass=quantity("--dry-mass", args.dry_mass, Kind.MASS),
        height=None if args.height is None else size("--height", args.height, show, Size.STRIP),
        now=quantity("--now", args.now, Kind.MOISTURE) or 0.0,
        sides=args.sides,
    )
    return Answer(found, lambda: water_render.dry(found, show))


def _kind(name: str) -> Kind:
    return KINDS.get(name, Kind.MOISTURE)


def _shop_bundles(args: argparse.Namespace, said: Surroundings) -> tuple[tuple[Bundle, ...], Display]:
    """The bundles of a rod of the shop, after a weighing was kept or taken back; and the rod's display."""
    from culmwright.workshop.bundles import bundles, keep_weighing, take_back
    from culmwright.workshop.drying import settled_in
    from culmwright.workshop.opening import find_drawn, the_shop

    changes = args.weigh is not None or args.take_back is not None
    section = None if args.bundle is None else args.bundle.upper()
    if changes and section is None:
        raise BadInput("nothing says which bundle was weighed", where="--bundle", remedy="Name it, such as T1")
    settled_in(said)  # air that cannot be keeps no weighing
    with the_shop(args.shop, write=changes) as shop:
        begun = find_drawn(shop, args.weighings)
        if args.take_back is not None and section is not None:
            take_back(shop, begun, section, args.take_back)
        if args.weigh is not None and section is not None:
            texts = {name: getattr(args, name) for name in SAID if getattr(args, name) is not None}
            keep_weighing(shop, begun, section, args.weigh, at=past_moment("--at", args.at), said=texts)
        return bundles(shop, begun, section), display_of(args, begun.rod.display)


def _heat_arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", nargs="?", help="a rod of the shop such as R1, to plan for and record")
    parser.add_argument(
        "--step", action="append", metavar="TEXT", help='a step, such as "250 F for 30 min"; repeat in order'
    )
    parser.add_argument("--keep", action="store_true", help="keep this plan with the rod, for its book")
    parser.add_argument("--done", metavar="TEXT", help="record a step that was done")
    parser.add_argument("--bundle", metavar="T1", help="of this bundle only: the strips of a section")
    parser.add_argument("--note", metavar="TEXT", help="words to the record")
    parser.add_argument("--height", metavar="TEXT", help="height of a strip (default: the rod's tallest, or 0.2 in)")
    parser.add_argument("--sides", type=int, metavar="N", help="sides of the rod: 4, 5 or 6 (default the rod's, or 6)")
    parser.add_argument("--bound", action="store_true", help="the strips lie bound in bundles, not free")
    parser.add_argument("--fan", action="store_true", help="the oven has a fan that moves its air")
    parser.add_argument("--limit", metavar="TEXT", help='where a plan stops (default "375 F")')
    _air_options(parser)
    shop_option(parser)
    units_option(parser, "the rod's")


def _heat(args: argparse.Namespace) -> Answer:
    from culmwright.cli import water_render
    from culmwright.workshop.heating import Heating

    show = display_of(args, typed=typed_in(args, "step", "height", "limit", "room"))
    if args.rod is not None:
        found, show = _heat_of_rod(args)
    elif args.done is not None or args.keep:
        raise BadInput("what is kept is kept with a rod", where="ROD", remedy="Name one of the shop, such as R1")
    elif not args.step:
        raise BadInput("there is no step to plan", where="--step", remedy='Give --step "250 F for 30 min"')
    else:
        height = None if args.height is None else size("--height", args.height, show, Size.STRIP)
        found = Heating(_asked(args, height, args.sides or 6).plan())
    return Answer(found, lambda: water_render.heat(found, show))


def _asked(args: argparse.Namespace, height: float | None, sides: int) -> OvenAsked:
    """The plan asked for, of a strip ``height`` [m] high, or of the usual height."""
    from culmwright.workshop.heating import ROOM, USUAL_HEIGHT, OvenAsked, must_be_room, shop_limit

    room, humidity = (quantity(f"--{name}", getattr(args, name), _kind(name)) for name in ("room", "humidity"))
    if room is not None:
        must_be_room(room)
    return OvenAsked(
        tuple(args.step),
        USUAL_HEIGHT if height is None else height,
        sides,
        args.bound,
        args.fan,
        shop_limit(quantity("--limit", args.limit, Kind.TEMPERATURE)),
        ROOM.temperature if room is None else room,
        ROOM.humidity if humidity is None else humidity,
        quantity("--offset", args.offset, Kind.MOISTURE) or 0.0,
    )


def _heat_of_rod(args: argparse.Namespace) -> tuple[Heating, Display]:
    """The plan asked for or kept of a rod of the shop, and what was done, after what is done now was recorded."""
    from culmwright.workshop.heating import Heating, heated, keep_heat, keep_plan, plan_kept, tallest
    from culmwright.workshop.opening import find_drawn, the_shop

    if not in_shop(args.rod):
        raise BadInput(f'"{args.rod}" is not a rod of the shop', where="ROD", remedy="Name one, such as R1")
    if args.keep and not args.step:
        raise BadInput("there is no plan to keep", where="--keep", remedy='Give --step "250 F for 30 min"')
    with the_shop(args.shop, write=args.done is not None or args.keep) as shop:
        begun = find_drawn(shop, args.rod)
        show = display_of(args, begun.rod.display)
        height = tallest(begun.rod) if args.height is None else size("--height", args.height, show, Size.STRIP)
        asked = _asked(args, height, args.sides or begun.rod.sides) if args.step else None
        plan = plan_kept(shop, begun) if asked is None else asked.plan()
        if asked is not None and args.keep:
            keep_plan(shop, begun, asked)
        if args.done is not None:
            section = None if args.bundle is None else args.bundle.upper()
            keep_heat(shop, begun, args.done, section=section, words=args.note)
        return Heating(plan, heated(shop, begun)), show


def _fit_arguments(parser: Parser) -> None:
    parser.add_argument("rig", metavar="RIG", nargs="?", help="a rig file with a bed and an insert")
    parser.add_argument("--insert", metavar="NAME", help="material of the insert: hdpe, brass, or such as 1.3e-4 /K")
    parser.add_argument("--bed", metavar="NAME", help="material of the bed: aluminium, steel, or such as 23.6e-6 /K")
    parser.add_argument("--length", metavar="TEXT", help="length of the insert from its fixed end")
    parser.add_argument(
        "--made-at", metavar="TEXT", help='temperature at which the holes met the screws, such as "68 F"'
    )
    parser.add_argument("--now", required=True, metavar="TEXT", help="temperature now")
    parser.add_argument(
        "--screws", metavar="TEXT", help='places of the screws along the bed, such as "0, 12 in, 24 in"'
    )
    parser.add_argument("--fixed", metavar="TEXT", help="place along the bed where the insert is held (default 0)")
    parser.add_argument("--clearance", metavar="TEXT", help="half of what a hole is wider than its screw")
    parser.add_argument("--screw", type=int, metavar="N", help="show the working behind where one screw's hole lies")
    units_option(parser, "the rig file's")


def _fit(args: argparse.Namespace) -> Answer:
    from culmwright.cli import render, water_render
    from culmwright.workshop.fitting import fit, hole_of, joint, rig_display, rig_joint

    typed = typed_in(args, "length", "screws", "fixed", "clearance", "made_at", "now")
    show = display_of(args, None if args.rig is None else rig_display(args.rig), typed)
    now = quantity("--now", args.now, Kind.TEMPERATURE)
    clearance = None if args.clearance is None else length("--clearance", args.clearance, show.bare).m
    own = {name: getattr(args, name.replace("-", "_")) for name in ("insert", "bed", "made-at")}
    bed = (*own.values(), args.length, args.screws, args.fixed)
    if args.rig is not None and any(one is not None for one in bed):
        raise BadInput(
            "a rig file says what its insert is", where="fit", remedy="Give the file, or the options, not both"
        )
    if args.rig is not None:
        found = fit(rig_joint(args.rig, clearance), now or 0.0)
    else:
        for name, text in own.items():
            if text is None:
                raise BadInput(
                    f"--{name} is missing", where="fit", remedy="Give a rig file, or --insert, --bed, --made-at"
                )
        screws = [] if args.screws is None else [length("--screws", one, show.bare).m for one in args.screws.split(",")]
        bound = joint(
            own["insert"],
            own["bed"],
            quantity("--made-at", own["made-at"], Kind.TEMPERATURE) or 0.0,
            length=None if args.length is None else length_above_zero("--length", args.length, show.bare).m,
            screws=screws,
            fixed=0.0 if args.fixed is None else length("--fixed", args.fixed, show.bare).m,
            clearance=clearance,
        )
        found = fit(bound, now or 0.0)
    if args.screw is not None:
        one = hole_of(found, args.screw)
        return Answer(one, lambda: render.explanation(one, show))
    return Answer(found, lambda: water_render.fit(found, show))


WATER_VERBS = (
    Verb("dry", "where cane settles, and when a bundle will be dry by its weighings", _dry_arguments, _dry),
    Verb("heat", "a plan of oven steps, and the record of those done", _heat_arguments, _heat),
)
FIT_VERB = Verb("fit", "a bed insert on its bed at another temperature", _fit_arguments, _fit)
