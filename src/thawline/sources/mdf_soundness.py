"""Check a parsed MDF file before samples are read from it.

The parser reads samples in C and trusts the file: a record that is shorter than its channels,
or a text that is said to lie beyond the end, would make it read memory that is not the
file's. Such files are refused here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from asammdf import MDF

#: No file holds more than this many records for each of its bytes [1].
MOST_RECORDS_PER_BYTE = 4096
#: No record is wider than this; the parser would set the memory aside at once [byte].
WIDEST_RECORD = 1 << 24
#: Kind of channel whose samples lie apart, each with its length before it (ASAM MDF 4.1,
#: block CN), and the size of that length [byte].
VARIABLE_LENGTH, LENGTH_BYTES = 1, 4


def check_records(mdf: MDF, size: int) -> None:
    """Check that records hold the channels that they announce.

    Parameters
    ----------
    mdf : MDF
        The open file.
    size : int
        Its size [byte].

    Raises
    ------
    ValueError
        If a channel lies outside its record, or there are more records than can be.
    """
    group: Any  # the parser has a class of groups for each version of the format
    for group in mdf.groups:
        record = group.channel_group
        width = record.samples_byte_nr + getattr(record, "invalidation_bytes_nr", 0)
        if not 0 <= record.cycles_nr <= MOST_RECORDS_PER_BYTE * size:
            raise ValueError(f"a group announces {record.cycles_nr} records")
        if width > WIDEST_RECORD:
            raise ValueError(f"a group announces records of {width} bytes")
        for channel in group.channels:
            if hasattr(channel, "byte_offset"):
                bits = 8 * channel.byte_offset + channel.bit_offset + channel.bit_count
            else:  # MDF 3
                bits = 8 * channel.additional_byte_offset + channel.start_offset
                bits += channel.bit_count
            if bits > 8 * width and record.cycles_nr:
                raise ValueError(f"the channel {channel.name!r} lies outside its record")


def check_lengths(mdf: MDF, index: int) -> None:
    """Check that samples of variable length lie inside their data.

    Parameters
    ----------
    mdf : MDF
        The open file.
    index : int
        Number of the group [1].

    Raises
    ------
    ValueError
        If one does not.
    """
    group: Any = mdf.groups[index]
    parser: Any = mdf._mdf  # offsets and data are only to be had from inside the parser
    for number, channel in enumerate(group.channels):
        if getattr(channel, "channel_type", None) != VARIABLE_LENGTH:
            continue
        offsets = np.asarray(
            parser._get_scalar(
                channel,
                group,
                index,
                number,
                group.channel_dependencies[number],
                raster=None,
                data=None,
                ignore_invalidation_bits=True,
                record_offset=0,
                record_count=None,
                master_is_required=False,
                skip_vlsd=True,
            )[0]
        )
        data = np.frombuffer(parser._load_signal_data(group, number), dtype=np.uint8)
        if not len(offsets):
            continue
        if offsets.dtype.kind != "u" or int(offsets.max()) + LENGTH_BYTES > len(data):
            raise ValueError(f"samples of the channel {channel.name!r} lie outside their data")
        begin = offsets.astype(np.int64)
        lengths = sum(data[begin + i].astype(np.int64) << (8 * i) for i in range(LENGTH_BYTES))
        if (np.diff(begin) < 0).any() or (begin + LENGTH_BYTES + lengths > len(data)).any():
            raise ValueError(f"samples of the channel {channel.name!r} lie outside their data")
