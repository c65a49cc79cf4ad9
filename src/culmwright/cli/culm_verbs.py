"""The verbs of the cane before it meets a rig: ``culm``, ``layout`` and ``flatten``."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.rod_asked import rod_named
from culmwright.cli.typed import display_of, length, size, typed_in, units_option
from culmwright.measure.display import Display
from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.reach import Size

if TYPE_CHECKING:
    from culmwright.workshop.laying import Culm, News


def _culm_argument(parser: Parser) -> None:
    parser.add_argument("culm", metavar="CULM", nargs="+", help="the culm file, or several")


def _read(args: argparse.Namespace) -> tuple[tuple[Culm, ...], Display]:
    """The culms of ``args`` and the display to use."""
    from culmwright.workshop.laying import read_culm

    culms = tuple(read_culm(one) for one in args.culm)
    return culms, display_of(args, culms[0].display)


def _length(option: str, text: str, show: Display, *, least: int = 1) -> Length:
    found = length(option, text, show.bare)
    if found.nanometres < least:
        raise BadInput(f"{found} is too short", where=option, remedy="Give it as measured")
    return found


def _warn(warnings: tuple[str, ...]) -> None:
    for warning in warnings:
        print(f"warning: {warning}", file=sys.stderr)


def _culm_arguments(parser: Parser) -> None:
    _culm_argument(parser)
    asked = parser.add_mutually_exclusive_group(required=True)
    asked.add_argument(
        "--rod", metavar="ROD", help="what the culm is to serve, a file or a rod of the shop: which lengths give what"
    )
    asked.add_argument("--width", metavar="TEXT", help="only count strips of this raw width")
    units_option(parser, "the culm file's")
    parser.add_argument("--keep", action="store_true", help="enter the culm in the shop")
    shop_option(parser)


def _culm(args: argparse.Namespace) -> Answer:
    from culmwright.cli import culm_render
    from culmwright.workshop.parting import culm, parted

    culms, show = _read(args)
    if args.keep:
        _keep_culms(args)
    if args.width is not None:
        if len(culms) > 1:
            raise BadInput("a width is counted in one culm", where="--width", remedy="Give one culm file")
        found = parted(culms[0], size("--width", args.width, show, Size.WIDTH))
        _warn(found.warnings)
        return Answer(found, lambda: culm_render.parted(found, show))
    made = culm(rod_named(args, args.rod).rod, culms)
    _warn(made.warnings)
    return Answer(made, lambda: culm_render.served(made, show), exit_code=0 if made.enough else 1)


def _keep_culms(args: argparse.Namespace) -> None:
    from culmwright.workshop.layouts_kept import keep_culm_file
    from culmwright.workshop.opening import the_shop

    with the_shop(args.shop, start=True) as shop:
        for one in args.culm:
            kept = keep_culm_file(shop, one)
            print(f"note: {one}: culm {kept.label} is kept in the shop {shop.file}", file=sys.stderr)


def _layout_arguments(parser: Parser) -> None:
    _culm_argument(parser)
    asked = parser.add_mutually_exclusive_group(required=True)
    asked.add_argument("--rod", metavar="ROD", help="the rod file, or a rod of the shop, such as R7")
    asked.add_argument("--length", metavar="TEXT", help="a section of this length, without a rod")
    parser.add_argument("--section", metavar="NAME", help="lay out this section only, such as T1 or B (default: all)")
    parser.add_argument(
        "--apart", type=int, choices=(1, 2, 3), default=1, metavar="M", help="strips that may share a place (default 1)"
    )
    parser.add_argument(
        "--trim", metavar="TEXT", help="a strip stays so much longer than its section (default: the rod file's)"
    )
    parser.add_argument("--ferrule", metavar="TEXT", help="no node so near a ferrule's joint (default 2 in)")
    parser.add_argument("--tip-end", metavar="TEXT", help="no node so near the tip (default 4 in)")
    parser.add_argument("--grip-end", metavar="TEXT", help="no node so near the grip's front (default 1 in)")
    parser.add_argument("--guides", metavar="TEXT", help="no node so near a guide (default: it may be)")
    parser.add_argument("--strips", type=int, default=6, metavar="N", help="with --length: strips of it (default 6)")
    parser.add_argument(
        "--from",
        dest="from_",
        action="append",
        metavar="NAME",
        help="with --length: strips of this culm length; may be repeated",
    )
    parser.add_argument("--keep", action="store_true", help="keep the layout, the culm and the drawing in the shop")
    units_option(parser, "the culm file's")
    shop_option(parser)


def _layout(args: argparse.Namespace) -> Answer:
    from culmwright.cli import culm_render
    from culmwright.workshop.laying import USUAL, Margins, layout, layout_of_length

    culms, show = _read(args)
    trim = None if args.trim is None else _length("--trim", args.trim, show, least=0)
    progress = _Progress(show)
    if args.length is not None:
        if args.keep or args.section:
            raise BadInput("a section without a rod has no name and is not kept", where="--length", remedy="Give --rod")
        found = layout_of_length(
            culms,
            _length("--length", args.length, show),
            strips=args.strips,
            share=args.apart,
            trim=trim,
            lengths=tuple(args.from_ or ()),
            tell=progress,
        )
        progress.done()
        _warn(found.warnings)
        return Answer(found, lambda: culm_render.layout(found, show))

    def margin(option: str, usual: Length) -> Length:
        text = getattr(args, option)
        return usual if text is None else _length(f"--{option.replace('_', '-')}", text, show, least=0)

    margins = Margins(
        ferrule=margin("ferrule", USUAL.ferrule),
        tip_end=margin("tip_end", USUAL.tip_end),
        grip_end=margin("grip_end", USUAL.grip_end),
        guide_foot=None if args.guides is None else _length("--guides", args.guides, show, least=0),
    )
    if args.keep:
        from culmwright.workshop.layouts_kept import lay_and_keep
        from culmwright.workshop.opening import begin, the_shop

        with the_shop(args.shop, start=True) as shop:
            begun = begin(shop, args.rod)
            found = lay_and_keep(
                shop,
                begun,
                tuple(args.culm),
                section=args.section,
                share=args.apart,
                margins=margins,
                trim=trim,
                tell=progress,
            )
        names = " ".join(one.section for one in found.sections)
        for note in (*begun.notes, f"the layout of {names} is kept, of {begun.code}"):
            print(f"note: {args.rod}: {note}", file=sys.stderr)
    else:
        found = layout(
            rod_named(args, args.rod).rod,
            culms,
            section=args.section,
            share=args.apart,
            margins=margins,
            trim=trim,
            tell=progress,
        )
    progress.done()
    _warn(found.warnings)
    return Answer(found, lambda: culm_render.layout(found, show))


class _Progress:
    """One line on standard error that says how the search stands; silent where that is no terminal."""

    def __init__(self, show: Display) -> None:
        self.show = show
        self.longest = 0

    def __call__(self, section: str, news: News) -> None:
        if not sys.stderr.isatty():
            return
        from culmwright.cli import culm_render

        words = culm_render.news(section, news, self.show)
        self.longest = max(self.longest, len(words))
        print(f"\r{words:<{self.longest}}", end="", file=sys.stderr, flush=True)

    def done(self) -> None:
        """Clear the line."""
        if self.longest:
            print(f"\r{' ' * self.longest}\r", end="", file=sys.stderr, flush=True)


def _flatten_arguments(parser: Parser) -> None:
    parser.add_argument("--bend", required=True, metavar="TEXT", help="radius the strip is bent to, such as 10 in")
    asked = parser.add_mutually_exclusive_group(required=True)
    asked.add_argument("--spot", metavar="TEXT", help="length of the flat spot, to get its depth")
    asked.add_argument("--depth", metavar="TEXT", help="depth below the enamel, to get the length of the spot")
    parser.add_argument("--ridge", metavar="TEXT", help="length of the node's ridge along the strip")
    parser.add_argument("--proud", metavar="TEXT", help="how far the ridge stood over the enamel")
    parser.add_argument("--rod", metavar="ROD", help="what the depth costs this rod in stiffness, with --at and --wall")
    parser.add_argument("--at", metavar="TEXT", help="with --rod: the station, from the tip")
    parser.add_argument("--wall", metavar="TEXT", help="with --rod: thickness of the culm's wall")
    units_option(parser, "the rod's of --rod")
    shop_option(parser)


def _flatten(args: argparse.Namespace) -> Answer:
    from culmwright.cli import culm_render
    from culmwright.workshop.flattening import flatten

    rod = None if args.rod is None else rod_named(args, args.rod).rod
    typed = typed_in(args, "bend", "spot", "depth", "ridge", "proud", "at", "wall")
    show = display_of(args, None if rod is None else rod.display, typed)

    def given(option: str) -> float | None:
        text = getattr(args, option)
        return None if text is None else _length(f"--{option}", text, show, least=0).m

    def sized(option: str, kind: Size) -> float | None:
        text = getattr(args, option)
        return None if text is None else size(f"--{option}", text, show, kind)

    found = flatten(
        size("--bend", args.bend, show, Size.BEND),
        spot=sized("spot", Size.SPOT),
        deep=sized("depth", Size.SAND),
        ridge=given("ridge") or 0.0,
        proud=given("proud"),
        rod=rod,
        station=given("at"),
        wall=sized("wall", Size.WALL),
    )
    return Answer(found, lambda: culm_render.flattened(found, show))


CULM_VERBS = (
    Verb("culm", "strips a culm yields, for which sections, and what is left", _culm_arguments, _culm),
    Verb("layout", "where the nodes go: how far to slide each strip, and the ring", _layout_arguments, _layout),
    Verb("flatten", "a node sanded flat: spot, depth, and what it costs", _flatten_arguments, _flatten),
)
