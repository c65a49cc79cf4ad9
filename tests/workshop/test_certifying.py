"""The shop's own certificate: for the names it is reached by, checked by the standard library's own TLS client."""

from __future__ import annotations

import ssl
from contextlib import suppress
from datetime import UTC, datetime, timedelta

import pytest
from cryptography.x509 import SubjectAlternativeName, load_pem_x509_certificates

from culmwright.measure.errors import BadInput
from culmwright.workshop.certifying import (
    authority_der,
    authority_file,
    certify,
    chain_file,
    context_of,
    fingerprint,
)

NAMES = ("bench.lan", "127.0.0.1", "192.168.7.20", "fe80::1")


@pytest.fixture
def shop(tmp_path):
    return tmp_path / "shop.sqlite"


def shaken(shop, name):
    """Shake hands in memory with the shop's certificate, as a device that trusts its authority."""
    here = ssl.create_default_context(cafile=str(authority_file(shop)))
    ends = [(ssl.MemoryBIO(), ssl.MemoryBIO()) for _ in range(2)]
    client = here.wrap_bio(ends[0][0], ends[0][1], server_hostname=name)
    server = context_of(chain_file(shop)).wrap_bio(ends[1][0], ends[1][1], server_side=True)
    for _ in range(6):
        for one in (client, server):
            with suppress(ssl.SSLWantReadError):
                one.do_handshake()
            ends[1][0].write(ends[0][1].read())
            ends[0][0].write(ends[1][1].read())
    return client.version()


@pytest.mark.parametrize("name", NAMES[:3])
def test_a_device_that_trusts_the_authority_trusts_every_name(shop, name):
    certify(shop, NAMES)
    assert shaken(shop, name) == "TLSv1.3"


def test_another_name_is_not_trusted(shop):
    certify(shop, NAMES)
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        shaken(shop, "evil.example")


def test_it_is_made_anew_for_a_new_address_and_the_authority_stays(shop):
    certify(shop, NAMES)
    trusted, first = fingerprint(shop), chain_file(shop).read_bytes()
    certify(shop, reversed(NAMES))
    assert chain_file(shop).read_bytes() == first
    leaf = load_pem_x509_certificates(certify(shop, (*NAMES, "10.0.0.9")).read_bytes())[0]
    named = leaf.extensions.get_extension_for_class(SubjectAlternativeName).value
    assert {str(one.value) for one in named} == {*NAMES, "10.0.0.9"}
    assert fingerprint(shop) == trusted
    assert shaken(shop, "10.0.0.9")


def test_it_is_made_anew_before_it_runs_out(shop):
    long_ago = datetime.now(UTC) - timedelta(days=380)
    certify(shop, NAMES, long_ago)
    first = chain_file(shop).read_bytes()
    certify(shop, NAMES)
    assert chain_file(shop).read_bytes() != first


def test_it_lasts_no_longer_than_tablets_take(shop):
    leaf = load_pem_x509_certificates(certify(shop, NAMES).read_bytes())[0]
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc < timedelta(days=825)


def test_keys_are_for_the_owner_only(shop, tmp_path):
    certify(shop, NAMES)
    assert {one.stat().st_mode & 0o777 for one in tmp_path.iterdir()} == {0o600}
    assert len(list(tmp_path.iterdir())) == 3


def test_what_devices_install_holds_no_key(shop):
    assert authority_der(shop) == b""
    assert fingerprint(shop) == ""
    certify(shop, NAMES)
    assert b"PRIVATE" not in authority_file(shop).read_bytes()
    assert authority_der(shop)[0] == 0x30  # a DER sequence


def test_an_authority_that_cannot_be_read_is_said(shop):
    certify(shop, NAMES)
    authority_file(shop).write_text("nothing")
    with pytest.raises(BadInput, match="the shop's authority cannot be read"):
        certify(shop, (*NAMES, "10.0.0.9"))
