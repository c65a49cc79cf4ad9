"""What tells one state of a shop from another tells it after a backup was put back, too."""

from __future__ import annotations

from datetime import UTC, datetime

from culmwright.ledger.backup import backup, restore
from culmwright.ledger.dockets import keep_docket
from culmwright.ledger.frozen import freeze
from culmwright.ledger.register import person_named
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.ledger.streams import moment_of

EIGHT = datetime(2026, 11, 25, 8, tzinfo=UTC)
MORE = {
    "a docket": lambda shop, who: keep_docket(shop, "weighing", f'{{"by": "{who}"}}', rod=1, at=EIGHT),
    "a person": person_named,
    "a rod": lambda shop, who: freeze(shop, who, who, "a" * 64),
}


def moments(shop):
    return moment_of(shop), moment_of(shop, 1)


def test_other_rows_under_the_same_numbers_are_another_moment(tmp_path):
    """A sound shop is written over in its own file: the rows that come after have the numbers of those before."""
    with create_shop(tmp_path / "shop.sqlite") as shop:
        freeze(shop, "Alder Run", "text", "a" * 64)
        for what, more in MORE.items():
            kept, before = backup(shop.file), moments(shop)
            more(shop, "before")
            once = moments(shop)
            restore(kept.path, shop.file)
            assert moments(shop) == before
            more(shop, "after")
            again = moments(shop)
            assert all(one != other for one, other in zip(once, again, strict=True)), what


def test_a_moment_is_the_same_until_something_is_kept(tmp_path):
    with create_shop(tmp_path / "shop.sqlite") as shop:
        empty = moments(shop)
        assert moments(shop) == empty
        freeze(shop, "Alder Run", "text", "a" * 64)
        frozen = moments(shop)
        assert frozen != empty
        keep_docket(shop, "weighing", "{}", rod=1, at=EIGHT)
        its_own = moment_of(shop, 1)
        freeze(shop, "Sallow Beck", "other", "b" * 64)
        keep_docket(shop, "weighing", "{}", rod=2, at=EIGHT)
        now = moment_of(shop, 1)
        assert now[-1] == its_own[-1]  # what happened to another rod does not count
        assert moment_of(shop)[-1] != its_own[-1]
    with open_shop(tmp_path / "shop.sqlite") as shop:
        assert moment_of(shop, 1) == now
