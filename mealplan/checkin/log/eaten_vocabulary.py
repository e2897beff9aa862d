"""Words of a meal that are no food: measures, joining words, sizes, and what changes nothing."""

from __future__ import annotations

from foods.composition.food_words import normalised
from mealplan.checkin.table.words import word_set

WEIGHTS = {
    "g": 1.0, "gr": 1.0, "gram": 1.0, "grams": 1.0, "gm": 1.0, "gms": 1.0, "gramm": 1.0,
    "gramme": 1.0, "grm": 1.0, "grms": 1.0, "gramms": 1.0,
    "grammes": 1.0, "gramos": 1.0, "kg": 1000.0, "kilo": 1000.0, "oz": 28.35,
    "ounce": 28.35, "ounces": 28.35, "lb": 453.6, "lbs": 453.6, "pound": 453.6,
}  # fmt: skip
"""[g]"""
VOLUMES = {
    "ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0,
    "liter": 1000.0, "liters": 1000.0, "mls": 1.0, "cc": 1.0, "floz": 29.6,
}  # fmt: skip
"""[mL]"""
ENERGY = {
    "kcal": 1.0, "kcals": 1.0, "cal": 1.0, "cals": 1.0, "calories": 1.0, "calorie": 1.0,
    "kalorien": 1.0, "calorias": 1.0, "kilocalories": 1.0, "kkal": 1.0, "calorieen": 1.0,
    "kj": 1 / 4.184, "kilojoule": 1 / 4.184, "kilojoules": 1 / 4.184, "mj": 1000 / 4.184,
}  # fmt: skip
"""[kcal]"""

_MEASURES: dict[str, str] = {
    "slice": "slice slices scheibe scheiben tranche tranches rebanada rebanadas plak plakken snee "
    "sneetje sneetjes sneden fetta fette loncha lonchas rounds round sliver wedge wedges schijf",
    "piece": "piece pieces stuck stuecke stuck stucke morceau morceaux trozo trozos stuk stuks "
    "stukje stukjes pezzo pc pcs segment segments chunk chunks pieza piezas hunk cube cubes "
    "skewer skewers spear spears sheet sheets",
    "square": "square squares rippe carre carres onza onzas row rows cuadrado",
    "each": "whole ganze ganzer ganzen entier entiere entero entera hele item items",
    "cup": "cup cups tasse tassen taza tazas kop kopje kopjes kopf tazza beker",
    "mug": "mug mugs becher bol tazon mok",
    "bowl": "bowl bowls schale schalen schussel schuessel bols cuenco kom kommetje bowlful ciotola "
    "schaaltje kommen bordje",
    "katori": "katori katoris vati",
    "plate": "plate plates teller assiette assiettes plato platos bord borden plateful platter "
    "piatto platefuls",
    "glass": "glass glasses glas glaser glaeser verre verres vaso vasos copa bicchiere",
    "tbsp": "tbsp tbsps tbs tablespoon tablespoons el essloffel essloeffel eetlepel eetlepels "
    "cucharada cucharadas tbspn cs tblsp tablespoonful eetl",
    "tsp": "tsp tsps teaspoon teaspoons tl teeloffel teeloeffel theelepel theelepels cucharadita "
    "cucharaditas cc teaspoonful",
    "spoon": "spoon spoons spoonful spoonfuls loffel loeffel cuillere cuilleres lepel lepels "
    "cuchara cucharas heaped",
    "scoop": "scoop scoops messloffel messloeffel bola bolas kugel kugeln boule boules bolletje "
    "bolletjes schep",
    "handful": "handful handfuls handvoll poignee poignees punado punados handje handjes fist "
    "fistful handfull handvol",
    "can": "can cans tin tins dose dosen boite boites lata latas blik blikje blikjes canette",
    "bottle": "bottle bottles flasche flaschen bouteille botella fles flesje flesjes",
    "packet": "packet packets pack packs packung packungen paquet paquete paquetes pak pakje "
    "pakjes pkt sachet sachets pouch pouches package packages tute zakje zak bolsa sachet punnet "
    "punnets",
    "bag": "bag bags tuete tuten beutel",
    "box": "box boxes carton cartons schachtel container containers tray",
    "jar": "jar jars",
    "pot": "pot pots tub tubs bakje becherchen tarrina bote",
    "portion": "portion portions serving servings porcion porciones portie porties ration racion "
    "helping helpings porzione portionen order",
    "pint": "pint pints",
    "bar": "bar bars tafel tablette tableta reep barre barres",
    "ladle": "ladle ladles kelle louche",
    "dollop": "dollop dollops klecks",
    "drizzle": "drizzle drizzled",
    "glug": "glug glugs",
    "splash": "splash dash schuss scheut scheutje chorrito",
    "shot": "shot shots",
    "sprinkle": "sprinkle sprinkling sprinkled",
    "knob": "knob pat pats scraping scrape thin spread smear lick",
    "ball": "ball balls",
    "bunch": "bunch",
    "breast": "breast breasts",
    "fillet": "fillet fillets filet filets",
    "patty": "patty patties pattie",
    "rasher": "rasher rashers strip strips",
    "stick": "stick sticks",
    "half": "halves",
    "block": "block blocks",
    "head": "head heads",
    "loaf": "loaf loaves",
    "squirt": "squirt squeeze blob",
    "clove": "clove cloves",
    "pinch": "pinch",
    "leaf": "leaf leaves",
}  # fmt: skip
UNITS: dict[str, str] = {
    word: measure for measure, words in _MEASURES.items() for word in words.split()
}
"""Word of a household measure, in any language, to the name of the measure."""
MEASURE_OTHERWISE = {
    "pot": ("cup", "bowl"), "box": ("container", "packet", "bowl"), "bag": ("packet",),
    "packet": ("bag", "pack"), "mug": ("cup", "bowl"), "bowl": ("portion", "cup"),
    "plate": ("portion",), "ball": ("scoop", "each"), "scoop": ("ball", "spoon"),
    "jar": ("pot",), "square": ("piece",), "dollop": ("spoon", "tbsp"), "can": ("tin",),
    "drizzle": ("tsp",), "glug": ("drizzle", "tbsp"),
    "splash": ("tbsp",), "squirt": ("tsp",), "sprinkle": ("tsp",),
    "knob": ("tsp",), "bar": ("each",), "rasher": ("slice",), "patty": ("each",),
    "piece": ("slice", "each"), "slice": ("piece",), "stick": ("piece",), "half": ("piece",),
    "fillet": ("portion",), "breast": ("portion",), "shot": ("tbsp",), "head": ("each",),
    "katori": ("cup", "bowl"), "pint": ("glass",),
    "glass": ("cup",), "bottle": ("glass",), "ladle": ("spoon",),
    "bunch": ("handful",), "loaf": ("each",), "block": ("packet", "pack"), "pinch": ("tsp",),
}  # fmt: skip
"""Measures that stand for one that a food has no grams for; the portion where none does."""
FLEXIBLE = word_set("bar ball stick box block head thin pot shot pat wedge strip breast fillet "
                 "patty leaf clove bunch")  # fmt: skip
"""Measures that are foods or parts of their names as well."""

WITH = word_set(
    "with w mit avec con met topped on over in onto auf sur op including containing "
    "dipped spread incl covered alongside au aux al an"
)
AND = word_set("but and plus und et y e en n then followed also ed i as well")
WITHOUT = word_set("no without minus ohne sans sin zonder except hold not senza")

DRY = word_set("dry uncooked dried trocken trockene ungekocht sec seco cru droog raw")
"""Words that say a food was weighed before it was cooked."""

NUTRIENTS = word_set("protein carbs carb carbohydrate carbohydrates fat fibre fiber eiweiss")
"""Behind grams these tell what was in the food, not how much of it there was."""
ACROSS = word_set("inch inches cm inchs")
USUAL_ACROSS = frozenset({6.0, 10.0, 11.0, 12.0})
"""Widths that filled rolls and pizzas usually have, so that they change nothing. [inch]"""
"""Behind a number these tell how wide a thing was."""

SIZES = {
    "small": 0.75, "smallish": 0.8, "large": 1.3, "big": 1.3, "huge": 1.7, "massive": 1.7,
    "giant": 1.6, "mini": 0.5, "little": 0.6, "medium": 1.0, "tiny": 0.5, "generous": 1.3,
    "heaped": 1.3, "heaping": 1.3, "level": 0.9, "regular": 1.0, "extra": 1.2, "xl": 1.5,
    "klein": 0.75, "kleine": 0.75, "kleiner": 0.75, "kleines": 0.75, "kleinen": 0.75,
    "gross": 1.3, "grosse": 1.3, "grosser": 1.3, "grosses": 1.3, "grossen": 1.3, "petit": 0.75,
    "petite": 0.75, "grand": 1.3, "grande": 1.3, "pequeno": 0.75, "pequena": 0.75, "groot": 1.3,
    "grote": 1.3, "kingsize": 1.5, "full": 1.1, "thick": 1.3, "thin": 0.8, "bit": 0.5,
    "lots": 1.5, "lot": 1.5, "loads": 1.6, "tall": 1.0, "jumbo": 1.5, "size": 1.0, "kids": 0.6,
    "grosszugig": 1.3, "mediano": 1.0, "mediana": 1.0, "venti": 1.5,
    "sharing": 4.0, "grab": 1.5, "family": 3.0,
    "bite": 0.2, "bites": 0.3,
    "biggest": 1.5, "smallest": 0.7, "bigger": 1.3, "smaller": 0.75, "larger": 1.3, "largest": 1.5,
    "piled": 1.3, "enormous": 1.7, "biggish": 1.2, "lrg": 1.3, "lge": 1.3, "sml": 0.75, "med": 1.0,
    "normal": 1.0, "average": 1.0, "usual": 1.0, "decent": 1.1, "overflowing": 1.4,
}  # fmt: skip
SIZE_NAMES = {"sharing": "sharing", "grab": "grab",
              "small": "small", "large": "large", "big": "large", "mini": "mini",
              "medium": "medium", "huge": "large"}  # fmt: skip
"""Sizes that a food may have its own grams for."""

NOTHING_ELSE = word_set("""
    of the some my i had ate eaten have just about around approx approximately roughly ca circa
    only is was were it its this that these those to for from at by im ive we our his her me
    fresh freshly plain homemade home made cooked boiled steamed sized day old
    der die das den dem des ein de du la le les el los las het d l il lo gli di da del della do
    um etwa ungefahr environ aprox un peu bitte bisschen etwas wat beetje poco
    breakfast lunch dinner supper brunch snack dessert evening morning night noon afternoon today
    tonight yesterday midday elevenses fruhstuck mittagessen abendessen ontbijt desayuno almuerzo
    cena comida dejeuner diner gouter merienda lunchtime teatime meal meals food course starter
    main mains side later before after during while gym work run training workout ride
    session swim race match game long way back train plane office desk school canteen cafe
    restaurant pub party friend friends mum mums moms mom dad grandma grandmas nan place house
    kitchen shop supermarket store bought brought frozen leftover leftovers yesterdays last
    reheated cold hot warm warmed iced raw baked grilled roasted roast fried pan air oven toasted
    sauteed poached scrambled stewed mashed chopped diced sliced grated shredded crushed pureed
    blended smoked marinated pickled dried tinned canned drained rinsed peeled unpeeled skinless
    boneless lean crunchy crispy crisp soft chewy creamy spicy mild sweet sour salty savoury savory
    tangy zesty smoky garlicky herby buttery cheesy lemony nutty fruity tasty delicious yummy nice
    lovely good great healthy light hearty filling rich quick easy simple basic classic traditional
    authentic style special favourite favorite organic bio vegan veggie vegetarian plant based
    plantbased dairy gluten lactose free fat sugar reduced low lower high protein unsweetened
    sweetened unsalted salted natural pure local seasonal ripe ready mixed assorted various
    different other another new extra virgin whole wholegrain wholemeal wholewheat white brown red
    green yellow black golden dark light baby young italian french greek thai indian mexican
    chinese japanese korean asian spanish german british american turkish lebanese moroccan
    ethiopian vietnamese mediterranean middle eastern indonesian english irish swedish russian
    medium rare well done al dente double single triple quality premium artisan instant quick
    microwave microwaved slow cooker pressure one pot pan tray bake traybake batch
    each apiece total altogether in all overall together shared between us per person bits bit
    really very
    quite pretty too much more less little tiny so maybe probably think guess like kind sort type
    sorry oh well ok um er hmm yes yeah thing things stuff usual normal same filled stuffed
    through drive freezer fridge stack stacked shelled isolate shepherdless frm ones ish tab
    tabs takeaway takeout okay uh deal cinema xmas range crinkle nos straight curly
    style inspired flavour flavoured flavor flavored taste tasting covered coated dusted layered
    dressed loaded homestyle rustic wrapped rolled folded built served finished accompanied
    cut thick thin slices up down out off away back over enjoyed drank drink drunk drinking eating
    grabbed got took having share hungry wasnt wasn't soldiers nibbled munched finished cooked
    ordered shared
    split own brand
    bigger smaller full half-fat semi skimmed nonfat zero percent pcs number amount worth equal
    avec gekocht gebraten frisch fraiche frais frisse verse gebakken cocido cocida asado asada
    entero natur naturell selbstgemacht maison casero casera zuhause rohe rohes roher
    mini american-style fun festive christmas birthday sunday monday tuesday wednesday thursday
    friday saturday o clock am pm
    """)
"""Words that leave what was eaten and how much of it as they are."""

CHAT = word_set("""
    prob probs afterwards afterward cheeky footy thru drivethru em tho btw ol yesterdays corner
    idk dunno bout scran brekkie brekky din dins grub myself yourself weight nom noms smashed ngl
    fr bruh yo yeah nah gonna wanna lemme pls thx aswell innit proper bare mad
    bed ugh ran ways walked swam cycled biked jogged rode trained lifted played
    honestly top lol haha again went go going gone swapped swopped leftovers rests coach know
    knew oops
    whoops straight standing slept through felt feel feeling drinked ate eated finished finish gave
    give given made did do does done got get getting because cause since when where which who what
    why how also instead rather actually basically literally obviously unfortunately sadly luckily
    usually normally always never ever forgot forget remember remembered guess suppose reckon
    say saying tell thought thinking tried try trying needed need wanted want wanting decided made
    making managed ended ending started start felt tired sick ill hungover nauseous stressed bored
    starving hungry peckish thirsty rushed hurry hurried late early soon already still yet then
    until till every everyone everybody someone somebody anyone nobody they them he she you your
    there here somewhere anyway anyways btw tbh imo omg yum yay hooray hmmm erm basically whatever
    couldn could would should might must can will shall wont cant dont didnt doesnt isnt not
    hotel airport station flight trip holiday travel travelling traveling meeting colleague
    colleagues wife husband girlfriend boyfriend partner mate mates flatmate roommate sister brother
    cousin aunt uncle kid kids children daughter son neighbour neighbor boss teammates teammate
    physio doctor gave cheat treat refuel refuelling recovery carb loading pre post intra workout
    warmup cooldown intervals sprints rowing cycling swimming running lifting yoga climbing hiking
    wolfed scoffed gobbled devoured demolished polished munching snacking nibbling sipped sipping
    washed chased mixed threw put place poured left-over remaining whole entire total bought
    ordered delivered picked sharing lunchbox tupperware homecooked half-eaten sure fine bad worst
    asked stirred function wedding birthday starving hangry regrets face ended finished
    flatmate flatmates sis bro sister brother mate mates mum dad hubby gf bf
    best better amazing awful boring disappointing massive craving cravings couch sofa telly tv
    movie film desk car bus tram metro street park beach lake pool locker changing room
    """) - word_set("left through whole mixed total not then also massive kids sharing")
"""Chatter beside a meal: verbs, people, places and moods; no food is called so."""
COULD_CHANGE = word_set(
    "starter mostly mainly partly filling topping toppings insides crust skins "
    "fat sugar free reduced low lower high protein dairy gluten lactose filled covered coated "
    "dusted layered much more less shared between together gave give given remaining whole "
    "total entire not left-over threw half-eaten half-fat light lean percent accompanied"
)
"""Words of everyday talk that may change what a food holds or how much of it there was: where a
reading has no use for one it says so."""
DRAINED = word_set("drained strained rinsed abgetropft egoutte egouttes escurrido uitgelekt")
"""Words that say the liquid of a tin was poured off."""
SOURCES = word_set(
    "packet pack package packaging label menu box app wrapper website site tracker card receipt "
    "sticker sleeve carton recipe calculator google internet sign web page chart board table "
    "restaurant canteen bottle back verpackung etikett"
)
"""What an energy was read from."""

PLANT = word_set(
    "plant vegan dairy oat soy soya almond coconut rice cashew hafer soja mandel avena "
    "havermout avoine hazelnut veggie free pea tofu hemp"
)
"""Words that say a food from animals was replaced."""

NOT_EATEN = frozenset(
    normalised(text)
    for text in (
        "skipped", "skip", "nothing", "none", "did not eat", "didn't eat", "didnt eat", "fasted",
        "no food", "not hungry", "missed", "skipped it", "ate nothing", "fasting", "skipped lunch",
        "skipped breakfast", "skipped dinner", "no breakfast", "no lunch", "no dinner", "nichts",
        "rien", "nada", "niets", "nix", "missed it", "ausgelassen", "nothing at all", "had nothing",
        "didnt have any", "no meal", "skipped this one", "ubersprungen", "gar nichts",
        "ayuno", "overgeslagen", "missed lunch", "missed breakfast", "missed dinner", "zero",
        "skipped meal", "skipped the meal", "skipped this meal", "didnt eat anything",
        "didn't eat anything", "wasnt hungry", "wasn't hungry", "saute", "pas mange", "0",
        "slept through", "slept through it", "slept in", "overslept", "slept through breakfast",
        "slept through lunch", "slept through dinner", "forgot to eat", "did not eat anything",
        "skipped snack", "no snack", "nothing today", "not eaten", "couldnt eat", "couldn't eat",
    )
)  # fmt: skip
AS_PLANNED = frozenset(
    normalised(text)
    for text in (
        "as planned", "planned", "the planned meal", "planned meal", "the plan", "as per plan",
        "per plan", "according to plan", "ate as planned", "stuck to the plan", "on plan", "yes",
        "what was planned", "wie geplant", "comme prevu", "segun lo planeado", "zoals gepland",
        "as in the plan", "followed the plan", "ate it", "all of it", "ate it all", "the lot",
        "everything", "all as planned", "everything as planned", "had it as planned", "done",
        "eaten as planned", "same as plan", "same as planned", "like planned", "nach plan",
        "all", "ate all", "ate everything", "had everything", "had all", "ate all of it",
        "finished everything", "had all of it", "finished it", "finished it all",
        "exactly as planned", "went to plan", "lo planeado", "volgens plan", "whats on the plan",
        "what's on the plan", "plan", "ate the planned meal", "planned lunch", "planned dinner",
        "planned breakfast", "as the plan says", "as on the plan", "como planeado",
    )
)  # fmt: skip
AS_BEFORE = frozenset(
    normalised(text)
    for text in (
        "same as yesterday", "same as before", "same again", "the same", "same", "as yesterday",
        "like yesterday", "same as last time", "yesterdays leftovers", "leftovers",
        "yesterday's leftovers", "leftovers from yesterday", "leftovers from last night",
        "last nights leftovers", "last night's leftovers", "leftovers from dinner", "leftover",
        "same breakfast as yesterday", "same lunch as yesterday", "same dinner as yesterday",
        "wie gestern", "comme hier", "igual que ayer", "zelfde als gisteren", "restes", "reste",
        "sobras", "restjes", "the same as yesterday", "lo mismo que ayer", "dasselbe wie gestern",
        "idem", "ditto", "das gleiche wie gestern", "la meme chose qu'hier",
        "hetzelfde als gisteren",
        "same thing as yesterday", "yesterday's dinner", "yesterdays dinner", "leftover dinner",
        "leftovers of yesterday", "same as the day before", "leftovers again", "dinner leftovers",
        "lunch leftovers", "same old", "leftovers from lunch", "same as last night", "the usual",
        "usual", "my usual", "usual breakfast", "my usual breakfast", "the usual breakfast",
    )
)  # fmt: skip
