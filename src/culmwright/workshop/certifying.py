"""A certificate for the workbench: an authority of the shop's own, which its devices are told to trust.

Its key never leaves the file beside the shop that only the owner reads.
"""

from __future__ import annotations

import ssl
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from culmwright.ledger.devices import write_private
from culmwright.ledger.faults import spoken
from culmwright.measure.errors import BadInput

if TYPE_CHECKING:
    from cryptography.x509 import Certificate

LASTS = timedelta(days=397)
"""How long a certificate is good for; tablets refuse one for more than 825 days (stated by their makers)."""
RENEWED = timedelta(days=30)
"""It is made anew when it has less than this left."""


def authority_file(shop: Path) -> Path:
    """The certificate of the shop's own authority, to be installed on its devices."""
    return shop.with_name(f"{shop.stem}-authority.crt")


def chain_file(shop: Path) -> Path:
    """The workbench's own certificate and key."""
    return shop.with_name(f"{shop.stem}-certificate.pem")


def _key_file(shop: Path) -> Path:
    return shop.with_name(f"{shop.stem}-authority.key")


def certify(shop: Path, names: Iterable[str], now: datetime | None = None) -> Path:
    """See to it that the workbench of a shop has a certificate for all ``names`` and addresses; the file of it.

    It is made anew when the names are others than before or when it runs out. The authority is made once. Raises
    :class:`BadInput` where they cannot be kept beside the shop.
    """
    import trustme

    names, moment = tuple(dict.fromkeys(names)), now or datetime.now(UTC)
    public, secret, chain = authority_file(shop), _key_file(shop), chain_file(shop)
    with spoken(shop):
        if public.exists() and secret.exists():
            made = False
            try:
                authority = trustme.CA.from_pem(public.read_bytes(), secret.read_bytes())
            except ValueError:
                raise BadInput(
                    "the shop's authority cannot be read",
                    where=str(secret),
                    remedy="Move both its files away; a new one is made then, to be installed on the devices again",
                ) from None
        else:
            made = True
            authority = trustme.CA(path_length=0, organization_name="culmwright", organization_unit_name="this shop")
            write_private(secret, authority.private_key_pem.bytes())
            write_private(public, authority.cert_pem.bytes())
        if made or not _good(chain, names, moment):
            leaf = authority.issue_cert(
                *names,
                common_name=names[0],
                organization_name="culmwright",
                not_before=moment - timedelta(days=1),
                not_after=moment + LASTS,
            )
            write_private(chain, leaf.private_key_and_cert_chain_pem.bytes())
    return chain


def _good(chain: Path, names: tuple[str, ...], moment: datetime) -> bool:
    """True if there is a certificate that holds exactly these names and lasts a while yet."""
    if not chain.exists():
        return False
    try:
        found = _certificate(chain)
    except ValueError:
        return False
    return set(_names_in(found)) == set(names) and found.not_valid_after_utc - moment > RENEWED


def _certificate(file: Path) -> Certificate:
    from cryptography.x509 import load_pem_x509_certificates

    return load_pem_x509_certificates(file.read_bytes())[0]


def _names_in(certificate: Certificate) -> list[str]:
    from cryptography.x509 import DNSName, IPAddress, SubjectAlternativeName

    held = certificate.extensions.get_extension_for_class(SubjectAlternativeName).value
    return [*held.get_values_for_type(DNSName), *(str(one) for one in held.get_values_for_type(IPAddress))]


def context_of(chain: Path) -> ssl.SSLContext:
    """What a server speaks TLS with: 1.2 or newer."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(chain)
    return context


def fingerprint(shop: Path) -> str:
    """SHA-256 of the authority's certificate in pairs, as a device shows it before it trusts it; "" without one."""
    from cryptography.hazmat.primitives.hashes import SHA256

    file = authority_file(shop)
    return _certificate(file).fingerprint(SHA256()).hex(":").upper() if file.exists() else ""


def authority_der(shop: Path) -> bytes:
    """The authority's certificate as devices take it in; empty without one."""
    file = authority_file(shop)
    return ssl.PEM_cert_to_DER_cert(file.read_text("ascii")) if file.exists() else b""
