"""How people write units in English, German and Spanish → our ids.

Lower case, compared without dots and spaces. What means two things is left out, so that it is asked about: a German
"Pfund" is half a kilogram to one and a pound to the next.
"""

from collections.abc import Mapping

_WORDS: Mapping[str, str] = {
    "mm": "mm millimetre millimetres millimeter millimeters milímetro milímetros milimetro milimetros",
    "cm": "cm centimetre centimetres centimeter centimeters zentimeter centímetro centímetros centimetro centimetros",
    "m": "m metre metres meter meters metro metros",
    "in": "in ins inch inches zoll pulgada pulgadas pulg \" ″ ” “ '' ′′ ’’",
    "ft": "ft foot feet fuß fuss pie pies ' ′ ’",
    "kg": "kg kgs kilo kilos kilogram kilograms kilogramm kilogramme kilogramo kilogramos",
    "lb": "lb lbs pound pounds libra libras",
    "N/mm": "n/mm newton/mm newtons/mm",
    "kgf/mm": "kgf/mm kg/mm kp/mm",
    "lbf/in": 'lbf/in lb/in lbs/in lbf/inch lb/inch lbs/inch lbf/" lb/" lbs/"',
    "kPa": "kpa kilopascal kilopascals",
    "bar": "bar bars bares",
    "psi": "psi psig lb/in2 lb/in² lbs/in2 lbs/in²",
    "kgf/cm2": "kgf/cm2 kgf/cm² kg/cm2 kg/cm² kp/cm2 kp/cm²",
    "N.m": "nm n·m",
    "lbf.ft": "lbfft ftlb ftlbs lbft",
    "deg": "deg ° degree degrees grad grado grados",
    "%": "%",
    "mm2": "mm2 mm²",
    "cm2": "cm2 cm²",
    "in2": "in2 in²",
    "cm3": "cm3 cm³ cc",
    "ml": "ml",
    "l": "l",
    "in3": "in3 in³",
    "degC": "degc °c c",
    "degF": "degf °f f",
    "K": "k",
    "s": "s sec secs second seconds sek sekunde sekunden seg segundo segundos",
    "ms": "ms",
    "click": "click clicks klick klicks clic clics raste rasten",
    "turn": "turn turns umdrehung umdrehungen umdr vuelta vueltas giro giros",
    "line": "line lines linie linien ring ringe strich striche línea líneas linea lineas raya rayas",
    "step": "step steps notch notches stufe stufen kerbe kerben paso pasos muesca muescas",
    "1": "year years jahr jahre año años",
}
SPELLINGS: Mapping[str, str] = {word: unit for unit, words in _WORDS.items() for word in words.split()}
