"""Reads a survey file into a request of the wire: TOML with the wire's field names and words for enums."""
import tomllib

from etics.v1 import estimate_pb2
from google.protobuf.descriptor import FieldDescriptor


def request(path):
    return read(path, estimate_pb2.EstimateRequest())


def read(path, message):
    with open(path, "rb") as file:
        return fill(message, tomllib.load(file))


def fill(message, table):
    for key, value in table.items():
        field = message.DESCRIPTOR.fields_by_name[key]
        if isinstance(value, list):
            for item in value:
                if field.message_type:
                    fill(getattr(message, key).add(), item)
                else:
                    getattr(message, key).append(plain(field, item))
        elif field.message_type:
            getattr(message, key).SetInParent()
            fill(getattr(message, key), value)
        else:
            setattr(message, key, plain(field, value))
    return message


def plain(field, value):
    if field.type != FieldDescriptor.TYPE_ENUM:
        return value
    prefix = field.enum_type.values_by_number[0].name.removesuffix("UNSPECIFIED")
    return field.enum_type.values_by_name[prefix + value.upper().replace("-", "_")].number
