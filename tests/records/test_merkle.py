"""The Merkle tree against the vectors of the Certificate Transparency reference implementation, and by its laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tersum.errors import OutOfRange
from tersum.records import merkle

# Source: the tree of eight leaves of the Certificate Transparency project's reference implementation of RFC 6962, its
# tests of tree heads and audit paths; the same constants stand in transparency-dev/merkle, testonly/constants.go.
LEAVES = [bytes.fromhex(one) for one in (
    "", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f")]
ROOTS = (
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
)
# Position, number of rows, audit path.
PROOFS = (
    (0, 1, ()),
    (0, 8, ("96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
            "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
            "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4")),
    (5, 8, ("bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
            "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
            "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7")),
)
rows_and_place = st.lists(st.binary(max_size=40), min_size=1, max_size=40).flatmap(
    lambda rows: st.tuples(st.just(rows), st.integers(0, len(rows) - 1)))


@pytest.mark.parametrize("count", range(9))
def test_root_is_the_published_one(count):
    assert merkle.root(LEAVES[:count]).hex() == ROOTS[count]


@pytest.mark.parametrize(("position", "count", "path"), PROOFS)
def test_inclusion_proof_is_the_published_one(position, count, path):
    assert [one.hex() for one in merkle.inclusion_proof(LEAVES[:count], position)] == list(path)
    proof = [bytes.fromhex(one) for one in path]
    assert merkle.proves(proof, LEAVES[position], position, count, bytes.fromhex(ROOTS[count]))


@given(rows_and_place)
def test_every_row_is_provable_and_no_other_row_passes_in_its_place(case):
    rows, place = case
    root, proof = merkle.root(rows), merkle.inclusion_proof(rows, place)
    assert merkle.proves(proof, rows[place], place, len(rows), root)
    assert not merkle.proves(proof, rows[place] + b"x", place, len(rows), root)
    assert not merkle.proves([*proof, root], rows[place], place, len(rows), root)
    if proof:
        assert not merkle.proves(proof[:-1], rows[place], place, len(rows), root)
        assert not merkle.proves([bytes(32), *proof[1:]], rows[place], place, len(rows), root)


@given(rows_and_place, st.integers(0, 39))
def test_a_proof_holds_at_its_own_place_only(case, other):
    rows, place = case
    rows = [bytes([number]) + row for number, row in enumerate(rows)]  # all different
    if other != place:
        proof = merkle.inclusion_proof(rows, place)
        assert not merkle.proves(proof, rows[place], other, len(rows), merkle.root(rows))


def test_a_row_does_not_pass_for_a_node():
    """Without prefixes, the two hashes of a pair would themselves be a row with the same root."""
    two = LEAVES[1:3]
    joined = b"".join(merkle.leaf_hash(one) for one in two)
    assert merkle.root([joined]) != merkle.root(two)


@pytest.mark.parametrize("position", [-1, 3, True])
def test_position_outside_the_rows_is_refused(position):
    with pytest.raises(OutOfRange, match="position"):
        merkle.inclusion_proof(LEAVES[:3], position)
    assert not merkle.proves([], LEAVES[0], 3, 3, merkle.root(LEAVES[:3]))
